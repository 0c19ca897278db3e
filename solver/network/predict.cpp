#include "solver/network/predict.h"

#include <algorithm>
#include <cmath>

#include "solver/network/measure.h"

namespace lostvolts {
namespace {

bool only_conducts(const AnyPart& p) {
    return is_any<Wire<>, Fuse<>, Breaker<>, Switch<>, Relay<>, Connector<>, Splice<>, Ground<>>(p);
}

Current<> rating_of(const AnyPart& part) {
    if (const auto* fuse = std::get_if<Fuse<>>(&part)) return fuse->settings.rating;
    if (const auto* breaker = std::get_if<Breaker<>>(&part)) return breaker->settings.rating;
    return {};
}

PartResult part_result(const Network& n, const Setup& setup, const Operating& at, PartId part) {
    const auto p = static_cast<std::size_t>(part);
    const Part& described = n.circuit->parts[p];
    PartResult r;
    r.part = part;
    r.in_circuit = setup.link[p] != Link::out;
    r.current = from_si<Current<>>(at.branch_amps[p]);
    r.drop = from_si<Voltage<>>(at.volts(n, described.from) - at.volts(n, described.to));
    r.power = r.drop * r.current;
    if (!r.in_circuit) return r;
    if (only_conducts(described.law) && std::abs(si(r.current)) > 1e-9) r.resistance = r.drop / r.current;
    if (n.circuit->states[static_cast<std::size_t>(setup.state)].locked.empty())
        r.limit = drop_limit(*n.circuit, described);
    // A contact that stands open drops the whole supply and loses nothing: no current, no verdict.
    r.over_limit = r.limit && r.resistance && std::abs(si(r.drop)) > si(*r.limit);
    return r;
}

MotorResult motor_result(const Motor<>& motor, PartId part, const Operating& at) {
    const auto& own = at.own[static_cast<std::size_t>(part)];
    MotorResult m;
    m.part = part;
    m.current = from_si<Current<>>(own[0]);
    m.speed = from_si<Speed<>>(own[1]);
    m.torque = motor.constant * m.current;
    m.back_emf = motor.constant * m.speed;
    return m;
}

/// Volts between the outermost posts of all the sources: two batteries in series count both.
Voltage<> between_posts(const Network& n, const Setup& setup, const Operating& at) {
    double low = 0, high = 0;
    bool any = false;
    for (std::size_t p = 0; p < setup.parts.size(); ++p) {
        if (!is_source(setup.parts[p]) || setup.link[p] == Link::out) continue;
        for (const PointId post : {n.circuit->parts[p].from, n.circuit->parts[p].to}) {
            const double v = at.volts(n, post);
            low = any ? std::min(low, v) : v;
            high = any ? std::max(high, v) : v;
            any = true;
        }
    }
    return from_si<Voltage<>>(high - low);
}

/// Loads across which the working point leaves under a twentieth of the sources' volts.
std::vector<PartId> starved_loads(const Network& n, const Setup& setup, const Operating& at) {
    constexpr double share = 0.05;
    std::vector<PartId> starved;
    const double posts = si(between_posts(n, setup, at));
    for (std::size_t p = 0; p < setup.parts.size(); ++p) {
        const Part& part = n.circuit->parts[p];
        if (is_load(part.law) && std::abs(at.volts(n, part.from) - at.volts(n, part.to)) < share * posts)
            starved.push_back(static_cast<PartId>(p));
    }
    return starved;
}

} // namespace

Result<StatePrediction> predict_state(const Network& n, int state, const std::vector<Fault>& faults,
                                      Workspace& work) {
    const Circuit& c = *n.circuit;
    Setup setup = set_up(n, state, faults);
    Operating at;
    if (auto problem = operate(n, setup, work, at)) return *problem;

    StatePrediction out;
    out.state = state;
    out.leftover = from_si<Current<>>(at.largest_leftover_amps);
    out.iterations = at.iterations;
    const std::vector<int> sections = floating_points(n, at, work);
    for (PointId p = 0; p < static_cast<PointId>(c.points.size()); ++p)
        out.points.push_back(sections[static_cast<std::size_t>(p)] == none
                                 ? std::optional(from_si<Voltage<>>(at.volts(n, p)))
                                 : std::nullopt);
    const State& drawn = c.states[static_cast<std::size_t>(state)];
    for (PartId p = 0; p < static_cast<PartId>(c.parts.size()); ++p) {
        const AnyPart& law = setup.parts[static_cast<std::size_t>(p)];
        const PartResult r = part_result(n, setup, at, p);
        out.parts.push_back(r);
        if (at.relay_closed[static_cast<std::size_t>(p)] &&
            setup.link[static_cast<std::size_t>(p)] == Link::part)
            out.relays_closed.push_back(p);
        if (!r.in_circuit) continue;
        if (const auto* motor = std::get_if<Motor<>>(&law)) out.motors.push_back(motor_result(*motor, p, at));
        // A rotor held for a second or two may take more than the fuse carries for long.
        if (const Current<> rating = rating_of(law);
            drawn.locked.empty() && rating > Current<>{} && std::abs(si(r.current)) > si(rating))
            out.overloaded_fuses.push_back(p);
    }
    out.off = starved_loads(n, setup, at);
    const Voltage<> posts = between_posts(n, setup, at);
    if (!faults.empty()) { // what is off is off without the faults
        Setup healthy = set_up(n, state);
        Operating sound;
        if (auto problem = operate(n, healthy, work, sound)) return *problem;
        out.off = starved_loads(n, healthy, sound);
    }
    const bool judged = drawn.locked.empty() && drawn.bridged.empty();
    for (const PartResult& r : out.parts) {
        if (!r.in_circuit || !is_load(c.parts[static_cast<std::size_t>(r.part)].law) ||
            std::abs(si(r.current)) < 1e-6)
            continue;
        const Voltage<> across = r.drop < Voltage<>{} ? -r.drop : r.drop;
        const Voltage<> lost = posts - across, limit = c.limits.drops.whole_loop;
        const bool on = std::find(out.off.begin(), out.off.end(), r.part) == out.off.end();
        out.loads.push_back({r.part, across, lost, limit, judged && on && lost > limit});
    }
    return out;
}

Result<std::vector<StatePrediction>> predict(const Network& network, const std::vector<Fault>& faults) {
    Workspace work;
    std::vector<StatePrediction> all;
    Problems problems;
    for (int s = 0; s < static_cast<int>(network.circuit->states.size()); ++s) {
        auto one = predict_state(network, s, faults, work);
        if (one)
            all.push_back(std::move(*one));
        else
            problems.insert(problems.end(), one.problems().begin(), one.problems().end());
    }
    if (!problems.empty()) return problems;
    return all;
}

} // namespace lostvolts

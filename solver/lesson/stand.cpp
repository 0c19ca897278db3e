#include "solver/lesson/stand.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace lostvolts {
namespace {

constexpr double no_amps = 1e-6;

struct Candidate {
    int state = 0;
    PartId load = none;
    double effect = 0; // how much the conditions move what it gets and does
};

bool same_set(std::vector<PartId> a, std::vector<PartId> b) {
    std::sort(a.begin(), a.end());
    std::sort(b.begin(), b.end());
    return a == b;
}

Voltage<> magnitude_of(Voltage<> v) { return v < Voltage<>{} ? -v : v; }

std::vector<Candidate> loads_that_run(const StatePrediction& healthy) {
    std::vector<Candidate> all;
    for (const LoadResult& l : healthy.loads)
        if (std::find(healthy.off.begin(), healthy.off.end(), l.part) == healthy.off.end())
            all.push_back({healthy.state, l.part, 0});
    return all;
}

double change(double now, double sound) { return sound == 0 ? 0 : std::min(std::abs(now / sound - 1), 1.0); }

/// How much one set of faults changes a load: its volts, and a motor's speed.
double effect_on(PartId load, const StatePrediction& healthy, const StatePrediction& faulty) {
    const auto volts = [&](const StatePrediction& s) {
        return si(s.parts[static_cast<std::size_t>(load)].drop);
    };
    double effect = change(volts(faulty), volts(healthy));
    const MotorResult *sound = motor_in(healthy, load), *now = motor_in(faulty, load);
    if (sound) effect += change(now ? si(now->speed) : 0, si(sound->speed));
    return effect;
}

/// The likeliest subject of the lesson: a motor before other loads, then the one that the conditions move
/// most, then the first.
Candidate subject_of(const Circuit& c, const std::vector<Candidate>& all) {
    constexpr double clearly = 1.2;
    const auto motor = [&](const Candidate& k) {
        return std::holds_alternative<Motor<>>(c.parts[static_cast<std::size_t>(k.load)].law);
    };
    Candidate best = all.front();
    for (const Candidate& k : all)
        if (motor(k) != motor(best) ? motor(k) : k.effect > clearly * best.effect) best = k;
    return best;
}

/// The part that brings most current into a point (or takes most out of it); none when a source does, or
/// nothing flows.
PartId main_stream(const Circuit& c, const StatePrediction& s, PointId at, bool in, const Stand& stand) {
    PartId main = none;
    double most = no_amps;
    for (const PartResult& r : s.parts) {
        const Part& part = c.parts[static_cast<std::size_t>(r.part)];
        if (!r.in_circuit || r.part == stand.load || part.from == part.to) continue;
        const double sign = part.to == at ? 1 : part.from == at ? -1 : 0;
        const double amps = sign * si(r.current) * (in ? 1 : -1);
        if (amps > most) most = amps, main = r.part;
    }
    return main != none && is_source(c.parts[static_cast<std::size_t>(main)].law) ? none : main;
}

/// Follows the main stream from a terminal of the load to a source's post; gives the post.
PointId follow(const Circuit& c, const StatePrediction& s, PointId from, bool up, const Stand& stand,
               std::vector<PartId>& way) {
    PointId at = from;
    while (way.size() < c.parts.size()) {
        const PartId p = main_stream(c, s, at, up, stand);
        if (p == none || holds(way, p)) break;
        way.push_back(p);
        const Part& part = c.parts[static_cast<std::size_t>(p)];
        at = part.from == at ? part.to : part.from;
    }
    return at;
}

Problem about(const Circuit& c, std::string what, std::string write) {
    return {c.file, {}, std::move(what), std::move(write), ""};
}

Problem nothing_runs(const Circuit& c, const StandWish& wish) {
    const auto state = [&] { return c.states[static_cast<std::size_t>(wish.state)].name; };
    const std::string load =
        wish.load == none ? "no load" : said(c.parts[static_cast<std::size_t>(wish.load)]);
    const std::string verb = wish.load == none ? "runs" : "does not run";
    if (wish.state == none)
        return about(c, fmt::format("{} {} in any state", load, verb),
                     "add a [[state]] that closes the switches on its way");
    return about(c, fmt::format("{} {} in state \"{}\"", load, verb, state()),
                 "name a state in which it is switched on, its rotor free and nothing bridged");
}

/// The states that a stand needs and a drawing may lack.
void add_states(Circuit& c, Stand& stand) {
    const State run = c.states[static_cast<std::size_t>(stand.run)];
    if (std::holds_alternative<Motor<>>(c.parts[static_cast<std::size_t>(stand.load)].law)) {
        for (int s = 0; s < stand.drawn_states && stand.stall == none; ++s) {
            const State& other = c.states[static_cast<std::size_t>(s)];
            if (holds(other.locked, stand.load) && same_set(other.closed, run.closed) &&
                same_set(other.removed, run.removed) && other.bridged.empty())
                stand.stall = s;
        }
        if (stand.stall == none) {
            State held = run;
            held.name = run.name + ", rotor held";
            held.locked = {stand.load};
            stand.stall = static_cast<int>(c.states.size());
            c.states.push_back(std::move(held));
        }
    }
    State rest;
    rest.name = "nothing switched on";
    rest.removed = run.removed;
    rest.removed.push_back(stand.load);
    stand.rest = static_cast<int>(c.states.size());
    c.states.push_back(std::move(rest));
}

} // namespace

Result<Stand> put_on_stand(const Circuit& drawn, const StandWish& wish) {
    auto circuit = std::make_shared<Circuit>(drawn);
    Network network = analyse(circuit);
    Workspace work;
    std::vector<Candidate> candidates;
    for (int s = 0; s < static_cast<int>(drawn.states.size()); ++s) {
        const State& state = drawn.states[static_cast<std::size_t>(s)];
        if ((wish.state != none && wish.state != s) || !state.locked.empty() || !state.bridged.empty())
            continue;
        const auto healthy = predict_state(network, s, {}, work);
        if (!healthy) return healthy.problems();
        std::vector<Candidate> here = loads_that_run(*healthy);
        std::erase_if(here, [&](const Candidate& k) { return wish.load != none && wish.load != k.load; });
        for (const Condition& condition : drawn.conditions)
            if (const auto faulty = predict_state(network, s, condition.faults, work); faulty)
                for (Candidate& k : here) k.effect += effect_on(k.load, *healthy, *faulty);
        candidates.insert(candidates.end(), here.begin(), here.end());
    }
    if (candidates.empty()) return nothing_runs(drawn, wish);

    const Candidate chosen = subject_of(drawn, candidates);
    Stand stand;
    stand.drawn_states = static_cast<int>(drawn.states.size());
    stand.load = chosen.load;
    stand.run = chosen.state;
    add_states(*circuit, stand);
    stand.circuit = circuit;
    stand.network = analyse(circuit);

    const auto run = predict_state(stand.network, stand.run, {}, work);
    if (!run) return run.problems();
    const Part& load = stand.part(stand.load);
    const bool forward = volts_at(*run, load.from) >= volts_at(*run, load.to);
    stand.high = follow(*circuit, *run, forward ? load.from : load.to, true, stand, stand.out);
    std::reverse(stand.out.begin(), stand.out.end());
    stand.low = follow(*circuit, *run, forward ? load.to : load.from, false, stand, stand.back);
    return stand;
}

Voltage<> volts_at(const StatePrediction& state, PointId point) {
    return state.points[static_cast<std::size_t>(point)].value_or(Voltage<>{});
}

Voltage<> between_posts(const Stand& stand, const StatePrediction& state) {
    return volts_at(state, stand.high) - volts_at(state, stand.low);
}

Voltage<> fall_across(const Stand& stand, const StatePrediction& state, PartId p) {
    // Walking the way from the high post shows which end of each part comes first.
    PointId at = stand.high;
    const auto step = [&](PartId k) {
        const Part& part = stand.part(k);
        const PointId next = part.from == at ? part.to : part.from;
        const Voltage<> fall = volts_at(state, at) - volts_at(state, next);
        at = next;
        return fall;
    };
    for (const PartId k : stand.out)
        if (const Voltage<> fall = step(k); k == p) return fall;
    if (const Voltage<> fall = step(stand.load); p == stand.load) return fall;
    for (const PartId k : stand.back)
        if (const Voltage<> fall = step(k); k == p) return fall;
    return magnitude_of(state.parts[static_cast<std::size_t>(p)].drop);
}

const MotorResult* motor_in(const StatePrediction& state, PartId part) {
    for (const MotorResult& m : state.motors)
        if (m.part == part) return &m;
    return nullptr;
}

} // namespace lostvolts

#include "solver/spinup/run.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/spinup/run_state.h"
#include "solver/units/patience.h"

namespace lostvolts {
namespace {

constexpr double step_share = 0.5; // of the tolerance, for the error of one step
constexpr double shortest = 1e-13; // seconds; below it the run has got stuck
constexpr double trim = 0.03;      // of a step: so much the continuous answer may take from it or add
constexpr double coil_care = 0.1;  // of the error elsewhere: a late relay shifts everything after it
constexpr double dark_size = 0.04; // of a filament's temperature: dark, it conducts twelve times as well
constexpr int most_landings = 8;

} // namespace

Run::Run(const Network& n, const SpinUpRequest& r, Model& m, const Watch& w, std::vector<Event>& e,
         RunCount& c)
    : network(n), request(r), model(m), watch(w), events(e), count(c), timeline(m, r), stepper(m.system),
      at(m.start) {
    for (std::size_t p = 0; p < model.system.ports.size(); ++p) {
        const TimeLaw& law = model.system.ports[p].law;
        if (std::holds_alternative<Filament>(law)) filaments.push_back(model.system.ports[p].first);
        if (std::holds_alternative<Commutating>(law)) turning.push_back(static_cast<int>(p));
        if (std::holds_alternative<Charger<>>(law) || std::holds_alternative<Commutating>(law) ||
            std::holds_alternative<Contact>(law) || std::holds_alternative<Diode<>>(law) ||
            std::holds_alternative<Electronic<>>(law) || std::holds_alternative<Motor<>>(law))
            bent.push_back(static_cast<int>(p));
    }
    regions.resize(bent.size());
    last_pull.assign(turning.size(), 0);
    model.system.scale.assign(at.own.size(), 0);
    follows.assign(at.own.size(), 0);
}

Port& Run::port(int p) { return model.system.ports[static_cast<std::size_t>(p)]; }

void Run::renew_scales() {
    const double share = step_share * request.tolerance;
    for (std::size_t k = 0; k < at.own.size(); ++k) {
        model.size[k] = std::max(model.size[k], std::abs(at.own[k]));
        model.system.scale[k] = follows[k] ? 1e300 : share * model.size[k];
    }
    for (const Mover& m : model.movers)
        if (m.coil_port != none)
            model.system.scale[static_cast<std::size_t>(port(m.coil_port).first)] *= coil_care;
    for (const int k : filaments) model.system.scale[static_cast<std::size_t>(k)] = share * dark_size;
    for (const int p : turning) { // an angle only counts within its bar
        const auto k = static_cast<std::size_t>(port(p).first + 2);
        model.size[k] = std::get<Commutating>(port(p).law).pitch();
        model.system.scale[k] = share * model.size[k];
    }
}

void Run::find_followers() {
    for (std::size_t p = 0; p < model.system.ports.size(); ++p)
        for (int k = 0; k < model.system.ports[p].count; ++k)
            follows[static_cast<std::size_t>(model.system.ports[p].first + k)] =
                stepper.slopes[p].stores[static_cast<std::size_t>(k)] == 0;
    renew_scales();
}

double Run::first_step() {
    double least = std::min(1e-3, si(request.duration) / 10);
    for (std::size_t p = 0; p < model.system.ports.size(); ++p) {
        const Port& q = model.system.ports[p];
        for (std::size_t k = 0; k < static_cast<std::size_t>(q.count); ++k) {
            const TimeSlopes& s = stepper.slopes[p];
            if (s.stores[k] == 0) continue;
            const double rate = std::abs(s.value.row[k] / s.stores[k]);
            const double size = model.size[static_cast<std::size_t>(q.first) + k];
            if (rate * least > 0.1 * size) least = 0.1 * size / rate;
        }
    }
    return std::max(least, 1e-9);
}

std::optional<Problem> Run::restart() {
    if (!stepper.settle(at)) {
        const Circuit& c = *network.circuit;
        return Problem{
            c.file,
            {},
            fmt::format("state \"{}\": {:.6g} s into the start no currents were found that balance",
                        c.states[static_cast<std::size_t>(request.state)].name, t),
            "check the parts that draw constant power, and what limits the current",
            ""};
    }
    find_followers();
    take_regions();
    h = first_step();
    wishes.clear();
    step_of_bar = 0;
    return std::nullopt;
}

std::optional<Problem> Run::stuck() const {
    const Circuit& c = *network.circuit;
    return Problem{c.file,
                   {},
                   fmt::format("state \"{}\": the start got stuck at {:.9g} s",
                               c.states[static_cast<std::size_t>(request.state)].name, t),
                   "check for parts with next to no resistance, inductance or inertia",
                   ""};
}

std::optional<Problem> Run::step(double stop) {
    Aim aimed = turning.empty() ? Aim{} : aim();
    for (; aimed.h == 0; aimed = aim()) pass_edge(aimed);
    if (step_of_bar < wishes.size()) h = wishes[step_of_bar];
    double limit = std::min(stop - t, si(request.longest_step));
    bool to_edge = false, to_stop = stop - t <= limit;
    if (aimed.h <= limit) limit = aimed.h, to_edge = true, to_stop = false;
    bool to_limit = h >= limit * (1 - 1e-9);
    double length = to_limit ? limit : h > 0.5 * limit ? 0.5 * limit : h;
    bool landing = false;
    int landings = 0;
    double taken = 1; // of the step
    int refined = 0;
    while (true) {
        const double error = stepper.attempt(at, length);
        const double factor = std::clamp(0.9 / std::sqrt(std::sqrt(std::max(error, 1e-10))), 0.2, 6.0);
        if (error > 1) {
            ++count.rejected;
            length *= std::min(factor, 0.9);
            h = length;
            to_limit = landing = false;
            if (length < shortest) return stuck();
            continue;
        }
        stepper.prepare_dense(at);
        if (to_limit && to_edge) {
            taken = share_to_edge(aimed);
            if (std::abs(taken - 1) > trim && landings++ < most_landings) {
                length *= std::clamp(taken, 0.2, 1.5);
                taken = 1;
                ++count.rejected;
                continue;
            }
        }
        if (!landing && (bends() || relay_asks())) {
            const double share = share_to_happening();
            if (share < 1 - 2 * past_kink) {
                length *= share * (1 + past_kink) + 1e-12;
                landing = true;
                to_limit = false;
                ++count.rejected;
                continue;
            }
        }
        if (landing && refined++ < 2 && sharpen(length)) {
            ++count.rejected;
            continue;
        }
        const double wished = length * factor;
        h = landing || to_limit ? std::max(h, wished) : wished;
        if (!turning.empty()) {
            wishes.resize(std::max(wishes.size(), step_of_bar + 1));
            wishes[step_of_bar++] = wished;
        }
        ++count.steps;
        if (watch) watch({t, length, taken, at, stepper});
        if (!turning.empty()) note_pulls();
        t += taken * length;
        for (Port& p : model.system.ports)
            if (p.emf_rate != 0)
                std::get<Supply>(p.law).emf += from_si<Voltage<>>(p.emf_rate * taken * length);
        if (to_limit && to_stop) t = std::max(t, stop);
        if (taken == 1) {
            std::swap(at.volts, stepper.end.volts);
            std::swap(at.own, stepper.end.own);
        } else {
            for (std::size_t n = 0; n < at.volts.size(); ++n)
                at.volts[n] = stepper.volts_at(at, static_cast<int>(n), taken);
            for (std::size_t k = 0; k < at.own.size(); ++k)
                at.own[k] = stepper.own_at(at, static_cast<int>(k), taken);
        }
        if (to_limit && to_edge) pass_edge(aimed);
        break;
    }
    bool moved = false;
    for (std::size_t i = 0; i < model.movers.size(); ++i) {
        Mover& m = model.movers[i];
        if (m.coil_port == none) continue;
        if (!asks(m, std::abs(at.own[static_cast<std::size_t>(port(m.coil_port).first)]))) continue;
        m.pulled = !m.pulled;
        moved = true;
        events.push_back({from_si<Time<>>(t), m.part, m.pulled ? Happening::pulls_in : Happening::drops_out});
        if (m.pulled)
            timeline.close(model, static_cast<int>(i), t);
        else
            timeline.open(static_cast<int>(i), t);
    }
    renew_scales();
    if (moved) return std::nullopt; // take_due() starts anew
    stepper.begin(at);
    if (!bent.empty()) take_regions();
    return std::nullopt;
}

std::optional<Problem> Run::come_to_rest() {
    constexpr double long_enough = 1.0;
    if (!(stepper.attempt(at, long_enough) < 1e8)) return std::nullopt;
    for (const Port& p : model.system.ports)
        if (std::holds_alternative<RelayCoil>(p.law) || std::holds_alternative<Solenoid<>>(p.law) ||
            std::holds_alternative<Motor<>>(p.law) || std::holds_alternative<Commutating>(p.law))
            at.own[static_cast<std::size_t>(p.first)] = stepper.end.own[static_cast<std::size_t>(p.first)];
    return restart();
}

std::optional<Problem> Run::whole() {
    const double duration = si(request.duration);
    if (model.from_dead) t = std::min(si(request.closing), duration);
    for (const int p : turning) {
        auto& c = std::get<Commutating>(port(p).law);
        c.added = from_si<Resistance<>>(bar_ohms(p, c.sector));
    }
    if (auto problem = restart()) return problem;
    if (!model.from_dead)
        if (auto problem = come_to_rest()) return problem;
    while (t < duration) {
        give_up_if_told();
        if (timeline.next() <= t)
            if (auto problem = take_due()) return problem;
        if (auto problem = step(std::min(duration, timeline.next()))) return problem;
    }
    return std::nullopt;
}

std::optional<Problem> run_model(const Network& network, const SpinUpRequest& request, Model& model,
                                 const Watch& watch, std::vector<Event>& events, RunCount& count) {
    return Run(network, request, model, watch, events, count).whole();
}

} // namespace lostvolts

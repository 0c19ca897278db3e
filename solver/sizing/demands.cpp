#include "solver/sizing/demands.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

constexpr double carries = 1e-6; // amperes
constexpr double runaway_celsius = 1e4;

bool is_held(const SizingModel& m, const ModelState& s) {
    return !m.circuit.states[static_cast<std::size_t>(s.state)].locked.empty();
}

double part_amps(const ModelState& s, PartId p) {
    return std::abs(s.at.branch_amps[static_cast<std::size_t>(p)]);
}

double guard_rating(const SizingModel& m, PartId guard) {
    if (guard == none) return 0;
    if (const int f = m.fuse_index(guard); f != none) return m.ratings[static_cast<std::size_t>(f)];
    return si(std::get<Breaker<>>(m.circuit.parts[static_cast<std::size_t>(guard)].law).settings.rating);
}

/// Each wire's nearest fuses, over all ways that lead through it.
void find_protectors(const SizingModel& m, Demands& d) {
    constexpr int unseen = -2, several = -3;
    std::vector<int> only(m.wires.size(), unseen);
    for (const ModelState& s : m.states)
        for (const LoadPath& path : s.paths)
            for (std::size_t k = 0; k < path.steps.size(); ++k) {
                const int w = m.wire_of_part[static_cast<std::size_t>(path.steps[k].part)];
                if (w == none) continue;
                const PartId guard = path.guards[k];
                const int fuse = guard == none || path.bare[k] ? none : m.fuse_index(guard);
                WireDemand& demand = d.wires[static_cast<std::size_t>(w)];
                demand.guard_amps = std::max(demand.guard_amps, guard_rating(m, guard));
                int& known = only[static_cast<std::size_t>(w)];
                known = known == unseen || known == fuse ? fuse : several;
                demand.unprotected = demand.unprotected || path.bare[k];
            }
    for (std::size_t w = 0; w < only.size(); ++w) d.wires[w].only_fuse = only[w] >= 0 ? only[w] : none;
}

/// Volts that drive a short: the weakest batteries and chargers between the outermost posts.
double source_volts(const SizingModel& m) {
    double most = 0;
    for (const Part& part : m.circuit.parts) {
        if (const auto* b = std::get_if<Battery<>>(&part.law)) most = std::max(most, si(b->emf));
        if (const auto* c = std::get_if<Charger<>>(&part.law)) most = std::max(most, si(c->regulated));
    }
    return most;
}

double wire_ohms(const ModelState& s, PartId p) {
    return si(std::get<Wire<>>(s.setup.parts[static_cast<std::size_t>(p)]).resistance);
}

void short_paths(SizingModel& m, int state, Demands& d) {
    ModelState& s = m.states[static_cast<std::size_t>(state)];
    const double volts = source_volts(m);
    for (std::size_t k = 0; k < s.paths.size(); ++k) {
        const LoadPath& path = s.paths[k];
        const auto amps = shorted_amps(m, s, path);
        if (!amps) continue;
        const auto of = [&](PartId p) { return std::abs((*amps)[static_cast<std::size_t>(p)]); };
        for (std::size_t n = 0; n < path.steps.size(); ++n) {
            const PartId p = path.steps[n].part;
            if (const int f = m.fuse_index(p); f != none) {
                FuseDemand& fuse = d.fuses[static_cast<std::size_t>(f)];
                // Only the fuse nearest to the short must open on it.
                const bool nearest = std::none_of(
                    path.steps.begin() + static_cast<std::ptrdiff_t>(n) + 1, path.steps.end(),
                    [&](const auto& later) { return later.feed && m.fuse_index(later.part) != none; });
                if (nearest && (fuse.short_load == none || of(p) < fuse.short_amps)) {
                    fuse.short_amps = of(p);
                    fuse.short_load = path.load;
                }
            }
            const int w = m.wire_of_part[static_cast<std::size_t>(p)];
            const int guard = path.guards[n] == none ? none : m.fuse_index(path.guards[n]);
            if (w == none || guard == none) continue;
            const double through = of(p);
            d.wires[static_cast<std::size_t>(w)].shorts.push_back(
                {guard, of(path.guards[n]), through, through > carries ? volts / through : 0.0,
                 wire_ohms(s, p), state, static_cast<int>(k)});
        }
    }
}

/// Seconds that a wire must stand a held rotor: the request's, or until its fuse opens for certain.
double stall_seconds(const SizingModel& m, int fuse, double amps) {
    const double asked = si(m.request.stalled);
    if (fuse == none) return asked;
    const double rating = m.ratings[static_cast<std::size_t>(fuse)];
    return std::min(asked, si(blade_fuse_operating_time(amps / rating).longest));
}

/// `motor`: the one that is held, none when the state itself holds some.
void take_stall(const SizingModel& m, const ModelState& s, const std::vector<double>& amps, PartId motor,
                Demands& d) {
    const auto path = std::find_if(s.paths.begin(), s.paths.end(),
                                   [motor](const LoadPath& p) { return !p.coil && p.load == motor; });
    std::vector<int> guard(m.wires.size());
    for (std::size_t w = 0; w < guard.size(); ++w) guard[w] = d.wires[w].only_fuse;
    if (path != s.paths.end()) // its own fuse ends the stall in all that leads to it
        for (std::size_t k = 0; k < path->steps.size(); ++k)
            if (const int w = m.wire_of_part[static_cast<std::size_t>(path->steps[k].part)];
                w != none && path->guards[k] != none)
                guard[static_cast<std::size_t>(w)] = m.fuse_index(path->guards[k]);
    for (std::size_t w = 0; w < m.wires.size(); ++w) {
        const auto p = static_cast<std::size_t>(m.wires[w].part);
        const double stall = std::abs(amps[p]), run = std::abs(s.at.branch_amps[p]);
        if (stall <= run || stall < carries) continue;
        const int f = guard[w];
        const double fuse_amps =
            f == none ? 0 : std::abs(amps[static_cast<std::size_t>(m.fuses[static_cast<std::size_t>(f)])]);
        d.wires[w].stall.push_back({stall, run, stall_seconds(m, f, fuse_amps)});
    }
    for (std::size_t f = 0; f < m.fuses.size(); ++f)
        d.fuses[f].stall = std::max(d.fuses[f].stall, std::abs(amps[static_cast<std::size_t>(m.fuses[f])]));
}

/// All motors of a state start at once: the current falls from its held value with the slowest motor's
/// mechanical time constant J·R/k², R being all that lies in series with it.
void find_starts(SizingModel& m, const ModelState& s, Demands& d) {
    if (s.running.empty()) return;
    const auto held = held_amps(m, s, s.running);
    if (!held) return;
    for (std::size_t f = 0; f < m.fuses.size(); ++f) {
        StartCurrent start;
        start.peak = from_si<Current<>>(std::abs((*held)[static_cast<std::size_t>(m.fuses[f])]));
        start.run = from_si<Current<>>(part_amps(s, m.fuses[f]));
        double slowest = 0;
        for (const LoadPath& path : s.paths) {
            const auto* motor = std::get_if<Motor<>>(&s.setup.parts[static_cast<std::size_t>(path.load)]);
            const bool through = std::any_of(path.steps.begin(), path.steps.end(),
                                             [&](const auto& step) { return step.part == m.fuses[f]; });
            const double run = part_amps(s, path.load);
            if (!motor || motor->settings.locked || !through || run < carries) continue;
            const double ohms = si(motor->winding + motor->brushes) + std::abs(lost_on(m, s, path)) / run;
            const double k = si(motor->constant);
            slowest = std::max(slowest, si(motor->inertia) * ohms / (k * k));
        }
        start.time_constant = from_si<Time<>>(slowest);
        if (const auto told = m.request.starts.find(m.fuses[f]); told != m.request.starts.end())
            start = told->second;
        const Current<> rating = from_si<Current<>>(m.ratings[f]);
        if (start_use(start, rating) >= start_use(d.fuses[f].start, rating) &&
            start.peak >= d.fuses[f].start.peak)
            d.fuses[f].start = start;
    }
}

} // namespace

Demands find_demands(SizingModel& m) {
    Demands d;
    d.wires.resize(m.wires.size());
    d.fuses.resize(m.fuses.size());
    find_protectors(m, d);
    for (int k = 0; k < static_cast<int>(m.states.size()); ++k) {
        ModelState& s = m.states[static_cast<std::size_t>(k)];
        if (is_held(m, s)) {
            take_stall(m, s, s.at.branch_amps, none, d);
            continue;
        }
        for (std::size_t w = 0; w < m.wires.size(); ++w)
            d.wires[w].run.push_back({part_amps(s, m.wires[w].part), k});
        for (std::size_t f = 0; f < m.fuses.size(); ++f)
            d.fuses[f].load = std::max(d.fuses[f].load, part_amps(s, m.fuses[f]));
        for (const PartId motor : s.running)
            if (const auto amps = held_amps(m, s, std::span(&motor, 1))) take_stall(m, s, *amps, motor, d);
        find_starts(m, s, d);
        short_paths(m, k, d);
    }
    return d;
}

double run_celsius(const WireDemand& demand, const SizeChoice& choice) {
    double most = choice.heat.ambient_celsius;
    for (const RunDemand& run : demand.run) {
        const auto t = steady_temperature(choice.heat, from_si<Current<>>(run.amps));
        most = std::max(most, t ? in_celsius(*t) : runaway_celsius);
    }
    return most;
}

double stall_celsius(const WireDemand& demand, const SizeChoice& choice) {
    double most = run_celsius(demand, choice);
    for (const StallDemand& stall : demand.stall) {
        const auto start = steady_temperature(choice.heat, from_si<Current<>>(stall.run_amps));
        if (!start) return runaway_celsius;
        most = std::max(most, in_celsius(temperature_after(choice.heat, from_si<Current<>>(stall.amps),
                                                           *start, from_si<Time<>>(stall.seconds))));
    }
    return most;
}

std::optional<Binding> refused(const SizingModel& m, const WireDemand& demand, const SizeChoice& choice) {
    const InsulationClass& insulation = m.request.insulation;
    if (stall_celsius(demand, choice) > in_celsius(insulation.limit)) return Binding::heat;
    // What a fuse carries for ever, its wire must carry too.
    if (si(ampacity(choice.heat, insulation.limit)) < demand.guard_amps) return Binding::protection;
    if (demand.shorts.empty()) return std::nullopt;
    const double withstand = withstand_amps2_seconds(choice.size, *find_metal("copper"), insulation);
    for (const ShortDemand& s : demand.shorts) {
        const double rating = m.ratings[static_cast<std::size_t>(s.fuse)];
        // A short may come while the wire is warm: less current, and so a longer time to open.
        const double warm =
            choice.ohms_20 * (1 + choice.heat.per_kelvin * (in_celsius(insulation.limit) - 20));
        const double share = s.loop_ohms > 0 ? s.loop_ohms / std::max(s.loop_ohms - s.ohms + warm, 1e-9) : 1;
        const double t = si(blade_fuse_operating_time(s.fuse_amps * share / rating).longest);
        const double through = s.wire_amps * share;
        if (!(t <= adiabatic_seconds) || through * through * t > withstand) return Binding::protection;
    }
    return std::nullopt;
}

std::optional<double> choose_rating(const SizingModel& m, const FuseDemand& demand) {
    const double carried = steady_fuse_share * fuse_ambient_factor(m.request.ambient);
    for (const double rating : blade_fuse_ratings_amps())
        if (demand.load <= carried * rating && survives_start(demand.start, from_si<Current<>>(rating)))
            return rating;
    return std::nullopt;
}

} // namespace lostvolts

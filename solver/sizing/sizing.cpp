#include "solver/sizing/sizing.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/sizing/harness.h"

namespace lostvolts {
namespace {

constexpr int most_rounds = 12;
constexpr double drop_slack = 1e-9; // volts: rounding of a working point

bool judged(const Model& m, const ModelState& s) {
    const State& st = m.circuit.states[static_cast<std::size_t>(s.state)];
    return st.locked.empty() && st.bridged.empty();
}

std::string called(const Part& part) { return fmt::format("{} \"{}\"", kind_of(part.law), part.name); }
std::string called(const Model& m, PartId p) { return called(m.circuit.parts[static_cast<std::size_t>(p)]); }

/// Currents that no choice within the limits can fall below, per state and path: a load that gets less draws
/// less, down to what it draws at the limit; one of constant power draws least at the posts' own voltage. The
/// square of the change is kept off for the curve of its law.
std::vector<double> least_amps(const Model& m, const ModelState& s) {
    std::vector<double> amps;
    for (const LoadPath& path : s.paths) {
        const auto branch = static_cast<std::size_t>(
            path.coil ? m.network.coil_branch[static_cast<std::size_t>(path.load)] : path.load);
        const Branch& b = m.network.branches[branch];
        const double i = std::abs(s.at.branch_amps[branch]);
        const auto volts = [&](std::int32_t n) {
            return n == ground_node ? 0 : s.at.node_volts[static_cast<std::size_t>(n)];
        };
        const double across = std::abs(volts(b.a) - volts(b.b));
        const double slope = s.at.edge_siemens[branch];
        const double lost = lost_on(m, s, path), change = si(m.request.rule.whole_loop) - lost;
        const double curve = across > 0 ? i * (change / across) * (change / across) : 0;
        const double least = slope >= 0 ? i - slope * change : i + slope * std::max(0.0, lost);
        amps.push_back(std::clamp(least - curve, 0.0, std::max(i, least)));
    }
    return amps;
}

/// The drops that choose_sizes() is to share out, in terms of the wires that may change.
struct Sharing {
    ChoiceProblem problem;
    std::vector<int> wires;                 ///< per segment: model wire
    std::vector<std::vector<int>> options;  ///< per segment: the choices of its wire that stand open
    std::vector<std::pair<int, int>> paths; ///< per budget: state, path
    bool tree = true;                       ///< every wire's current is its loads' together
};

Sharing share_out(const Model& m, const std::vector<std::vector<int>>& open) {
    Sharing sharing;
    std::vector<int> segment(m.wires.size(), none);
    for (std::size_t w = 0; w < m.wires.size(); ++w) {
        if (!m.wires[w].chosen) continue;
        segment[w] = static_cast<int>(sharing.wires.size());
        sharing.wires.push_back(static_cast<int>(w));
        sharing.options.push_back(open[w]);
        sharing.problem.segments.emplace_back();
    }
    std::vector<double> most_least(m.wires.size(), 0.0);       // the states' least currents: the most,
    std::vector<double> least_run(m.wires.size(), HUGE_VAL);   // and the least, for its temperature
    for (int k = 0; k < static_cast<int>(m.states.size()); ++k) {
        const ModelState& s = m.states[static_cast<std::size_t>(k)];
        if (!judged(m, s)) continue;
        const std::vector<double> least = least_amps(m, s);
        std::vector<double> part_least(m.circuit.parts.size(), 0.0), told(m.circuit.parts.size(), 0.0);
        for (std::size_t n = 0; n < s.paths.size(); ++n) {
            const auto branch = static_cast<std::size_t>(
                s.paths[n].coil ? m.network.coil_branch[static_cast<std::size_t>(s.paths[n].load)]
                                : s.paths[n].load);
            const double now = std::abs(s.at.branch_amps[branch]);
            for (const auto& step : s.paths[n].steps) {
                part_least[static_cast<std::size_t>(step.part)] += step.sign * least[n];
                told[static_cast<std::size_t>(step.part)] += step.sign * now;
            }
        }
        for (std::size_t p = 0; p < told.size();
             ++p) { // what the paths don't account for: loops, resistors as loads
            if (m.wire_of_part[p] == none) continue;
            const double rest = s.at.branch_amps[p] - told[p];
            if (std::abs(rest) <= 1e-6 * std::abs(s.at.branch_amps[p]) + 1e-9) continue;
            sharing.tree = false;
            part_least[p] = s.at.branch_amps[p];
        }
        for (std::size_t w = 0; w < m.wires.size(); ++w) {
            const double amps = std::abs(part_least[static_cast<std::size_t>(m.wires[w].part)]);
            least_run[w] = std::min(least_run[w], amps);
            most_least[w] = std::max(most_least[w], amps);
        }
        for (int n = 0; n < static_cast<int>(s.paths.size()); ++n) {
            const LoadPath& path = s.paths[static_cast<std::size_t>(n)];
            if (path.coil) continue;
            const int j = static_cast<int>(sharing.problem.budgets.size());
            double budget = si(m.request.rule.whole_loop);
            for (const auto& step : path.steps) {
                const auto p = static_cast<std::size_t>(step.part);
                const int w = m.wire_of_part[p];
                if (w != none && segment[static_cast<std::size_t>(w)] != none) {
                    sharing.problem.segments[static_cast<std::size_t>(segment[static_cast<std::size_t>(w)])]
                        .paths.push_back({j, step.sign * part_least[p]});
                    continue;
                }
                const Part& part = m.circuit.parts[p];
                const double drop =
                    step.sign * (s.at.volts(m.network, part.from) - s.at.volts(m.network, part.to));
                const double now = std::abs(s.at.branch_amps[p]);
                const double share =
                    now > 1e-9 && told[p] != 0 ? std::min(1.0, std::abs(part_least[p]) / now) : 1;
                const bool element = std::holds_alternative<Fuse<>>(part.law);
                budget -= drop * (element ? share * share * share : share);
            }
            sharing.problem.budgets.push_back(budget);
            sharing.paths.emplace_back(k, n);
        }
    }
    for (std::size_t g = 0; g < sharing.wires.size(); ++g) {
        const auto w = static_cast<std::size_t>(sharing.wires[g]);
        std::vector<int> within;
        for (const int o : sharing.options[g]) {
            const SizeChoice& c = m.wires[w].choices[static_cast<std::size_t>(o)];
            const double amps = std::isfinite(least_run[w]) ? least_run[w] : 0;
            // The rule for one wire alone; the thickest stays, for the message if it fails too.
            if (m.request.rule.wire && most_least[w] * c.ohms_20 > si(*m.request.rule.wire) + drop_slack &&
                o != sharing.options[g].back())
                continue;
            within.push_back(o);
            const auto t = steady_temperature(c.heat, from_si<Current<>>(amps));
            const double growth =
                1 + c.heat.per_kelvin * ((t ? in_celsius(*t) : c.heat.ambient_celsius) - 20);
            sharing.problem.segments[g].options.push_back({c.copper_kg, c.ohms_20 * growth});
        }
        sharing.options[g] = std::move(within);
    }
    return sharing;
}

/// Drops of the full network against the rule.
bool within_rule(Model& m, std::span<const int> option) {
    for (ModelState& s : m.states) {
        if (!judged(m, s)) continue;
        if (solve_state(m, s, option)) return false;
        for (const LoadPath& path : s.paths)
            if (!path.coil && lost_on(m, s, path) > si(m.request.rule.whole_loop) + drop_slack) return false;
        if (!m.request.rule.wire) continue;
        for (const ModelWire& wire : m.wires) {
            const Part& part = m.circuit.parts[static_cast<std::size_t>(wire.part)];
            const double drop = s.at.volts(m.network, part.from) - s.at.volts(m.network, part.to);
            if (wire.chosen && std::abs(drop) > si(*m.request.rule.wire) + drop_slack) return false;
        }
    }
    return true;
}

Problem too_much_lost(const Model& m, const Sharing& sharing, const Choice& choice) {
    const auto [k, n] = sharing.paths[static_cast<std::size_t>(choice.failing_path)];
    const ModelState& s = m.states[static_cast<std::size_t>(k)];
    const LoadPath& path = s.paths[static_cast<std::size_t>(n)];
    PartId worst = none;
    double most = -1;
    for (const auto& step : path.steps) {
        const Part& part = m.circuit.parts[static_cast<std::size_t>(step.part)];
        const double drop = step.sign * (s.at.volts(m.network, part.from) - s.at.volts(m.network, part.to));
        if (drop > most) {
            most = drop;
            worst = step.part;
        }
    }
    return {
        m.circuit.file, m.circuit.parts[static_cast<std::size_t>(path.load)].place,
        fmt::format(
            "state \"{}\": with the thickest wires that are open, {} still loses {} more than the {} that "
            "may be lost; the most, {}, is across {}",
            m.circuit.states[static_cast<std::size_t>(s.state)].name, called(m, path.load),
            show(from_si<Voltage<>>(choice.failing_volts)), show(m.request.rule.whole_loop),
            show(from_si<Voltage<>>(most)), called(m, worst)),
        "shorten or double that segment, choose parts that drop less, or allow more with --limit", ""};
}

/// Why no size of a wire stands open.
Problem no_size(const Model& m, const Demands& d, std::size_t w) {
    const ModelWire& wire = m.wires[w];
    const SizeChoice& thickest = wire.choices.back();
    const WireDemand& demand = d.wires[w];
    const Place place = m.circuit.parts[static_cast<std::size_t>(wire.part)].place;
    const std::string size = write_wire_size(thickest.size), name = called(m, wire.part);
    const double limit = in_celsius(m.request.insulation.limit), hot = stall_celsius(demand, thickest);
    if (hot > limit) {
        double amps = 0;
        for (const RunDemand& run : demand.run) amps = std::max(amps, run.amps);
        return {
            m.circuit.file, place,
            fmt::format(
                "{} carries {} and even {} gets to {:.0f} degC, {:.0f} K more than the {:.0f} degC of its "
                "insulation",
                name, show(from_si<Current<>>(amps)), size, hot, hot - limit, limit),
            "run wires side by side, take insulation of a higher class, or a cooler or smaller bundle", ""};
    }
    std::string fuse = "its fuse";
    if (demand.only_fuse != none || !demand.shorts.empty()) {
        const int f = demand.only_fuse != none ? demand.only_fuse : demand.shorts.front().fuse;
        fuse = fmt::format("{} ({})", called(m, m.fuses[static_cast<std::size_t>(f)]),
                           show(from_si<Current<>>(m.ratings[static_cast<std::size_t>(f)])));
    }
    return {
        m.circuit.file, place,
        fmt::format(
            "{} protects no available size of {}: not even {} outlasts it or makes it open in {:.0f} s on a "
            "short at the far end",
            fuse, name, size, adiabatic_seconds),
        "fit a fuse of a lower rating nearer to the wire, or split the circuit", ""};
}

Problem no_fuse(const Model& m, const FuseDemand& demand, PartId fuse) {
    const double largest = blade_fuse_ratings_amps().back();
    return {
        m.circuit.file, m.circuit.parts[static_cast<std::size_t>(fuse)].place,
        fmt::format(
            "{} carries {} in run{}; no blade fuse up to {} is loaded at most {:.0f} % and lives through it",
            called(m, fuse), show(from_si<Current<>>(demand.load)),
            demand.start.peak > demand.start.run ? " and " + show(demand.start.peak) + " at a start" : "",
            show(from_si<Current<>>(largest)),
            100 * steady_fuse_share * fuse_ambient_factor(m.request.ambient)),
        "split the loads over several fuses, or keep this one with --keep and check it by its maker's curve",
        ""};
}

std::vector<std::string> idle_states(const Model& m) {
    std::vector<std::string> idle;
    for (const ModelState& s : m.states)
        if (std::all_of(s.paths.begin(), s.paths.end(), [](const LoadPath& p) { return p.coil; }))
            idle.push_back(m.circuit.states[static_cast<std::size_t>(s.state)].name);
    return idle;
}

} // namespace

Result<Sizing> size_harness(const Network& network, const SizingRequest& request) {
    Model m = make_model(network, request);
    std::vector<int> option;
    for (const ModelWire& w : m.wires) option.push_back(static_cast<int>(w.choices.size()) - 1);
    const auto solve_all = [&]() -> Problems {
        Problems problems;
        for (ModelState& s : m.states) {
            for (std::size_t f = 0; f < m.fuses.size(); ++f) set_fuse(m, s.setup, m.fuses[f], m.ratings[f]);
            if (auto problem = solve_state(m, s, option))
                problems.push_back(*problem);
            else
                find_paths(m, s);
        }
        return problems;
    };
    if (Problems problems = solve_all(); !problems.empty()) return problems;
    const std::vector<std::string> idle = idle_states(m);
    if (idle.size() == m.states.size())
        return Problem{m.circuit.file,
                       {},
                       fmt::format("no load carries current in state \"{}\"; there is nothing to size for",
                                   fmt::join(idle, "\", \"")),
                       "close what switches the load in that state, or name another with --state",
                       ""};

    Harness h{m, {}, {}, option, {}, {}, idle};
    std::vector<int> least(m.wires.size(), 0); // sizes found too thin by the final check
    bool stable = false;
    for (h.rounds = 1; h.rounds <= most_rounds && !stable; ++h.rounds) {
        h.demands = find_demands(m);
        Problems problems;
        const std::vector<double> before = m.ratings;
        for (std::size_t f = 0; f < m.fuses.size(); ++f) {
            if (std::find(request.keep.begin(), request.keep.end(), m.fuses[f]) != request.keep.end())
                continue;
            if (h.demands.fuses[f].load < 1e-6) continue; // nothing flows: as drawn
            if (const auto rating = choose_rating(m, h.demands.fuses[f]))
                // Sizes and ratings must not chase one another: late rounds only go up.
                m.ratings[f] = h.rounds > most_rounds / 2 ? std::max(*rating, m.ratings[f]) : *rating;
            else
                problems.push_back(no_fuse(m, h.demands.fuses[f], m.fuses[f]));
        }
        if (!problems.empty()) return problems;
        if (m.ratings != before)
            if (problems = solve_all(); !problems.empty()) return problems;

        h.open.assign(m.wires.size(), {});
        h.refused.assign(m.wires.size(), {});
        for (std::size_t w = 0; w < m.wires.size(); ++w) {
            const ModelWire& wire = m.wires[w];
            for (int o = 0; o < static_cast<int>(wire.choices.size()); ++o) {
                const auto why =
                    wire.chosen ? refused(m, h.demands.wires[w], wire.choices[static_cast<std::size_t>(o)])
                                : std::nullopt;
                h.refused[w].push_back(o < least[w] ? why.value_or(Binding::heat) : why);
                if (!h.refused[w].back()) h.open[w].push_back(o);
            }
            if (h.open[w].empty()) problems.push_back(no_size(m, h.demands, w));
        }
        if (!problems.empty()) return problems;

        const Sharing sharing = share_out(m, h.open);
        const auto spread = [&](std::span<const int> chosen) {
            std::vector<int> all(m.wires.size(), 0);
            for (std::size_t g = 0; g < chosen.size(); ++g)
                all[static_cast<std::size_t>(sharing.wires[g])] =
                    sharing.options[g][static_cast<std::size_t>(chosen[g])];
            return all;
        };
        const Accept accept = [&](std::span<const int> chosen) { return within_rule(m, spread(chosen)); };
        h.choice = choose_sizes(sharing.problem, request.effort, accept);
        if (!h.choice.feasible) {
            if (h.choice.failing_path < 0) { // the optimistic currents fit, the network does not
                std::vector<int> thickest;
                for (const auto& open : h.open) thickest.push_back(open.back());
                option = thickest;
                if (problems = solve_all(); !problems.empty()) return problems;
                h.choice.failing_path = 0;
                h.choice.failing_volts = 0;
                for (std::size_t j = 0; j < sharing.paths.size(); ++j) {
                    const auto [k, n] = sharing.paths[j];
                    const ModelState& s = m.states[static_cast<std::size_t>(k)];
                    const double over =
                        lost_on(m, s, s.paths[static_cast<std::size_t>(n)]) - si(request.rule.whole_loop);
                    if (over > h.choice.failing_volts) {
                        h.choice.failing_volts = over;
                        h.choice.failing_path = static_cast<int>(j);
                    }
                }
                if (h.choice.failing_volts <= 0) return wire_over_rule(h);
            }
            return too_much_lost(m, sharing, h.choice);
        }
        h.choice.proven = h.choice.proven && sharing.tree;
        h.tree = sharing.tree;
        const std::vector<int> next = spread(h.choice.option);
        stable = next == option && m.ratings == before;
        option = next;
        h.option = option;
        if (problems = solve_all(); !problems.empty()) return problems;
        if (!stable) continue;
        h.demands = find_demands(m);
        for (std::size_t w = 0; w < m.wires.size(); ++w) {
            if (!m.wires[w].chosen) continue;
            const auto o = static_cast<std::size_t>(option[w]);
            if (refused(m, h.demands.wires[w], m.wires[w].choices[o])) {
                least[w] = option[w] + 1;
                stable = false;
            }
        }
    }
    h.stable = stable;
    return results(h);
}

} // namespace lostvolts

#include "solver/sizing/sharing.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

bool judged(const SizingModel& m, const ModelState& s) {
    const State& st = m.circuit.states[static_cast<std::size_t>(s.state)];
    return st.locked.empty() && st.bridged.empty();
}

/// Currents that no choice within the limits can fall below, per state and path: a load that gets less draws
/// less, down to what it draws at the limit; one of constant power draws least at the posts' own voltage. The
/// square of the change is kept off for the curve of its law.
std::vector<double> least_amps(const SizingModel& m, const ModelState& s) {
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

std::vector<double> present_amps(const SizingModel& m, const ModelState& s) {
    std::vector<double> amps;
    for (const LoadPath& path : s.paths)
        amps.push_back(std::abs(s.at.branch_amps[static_cast<std::size_t>(
            path.coil ? m.network.coil_branch[static_cast<std::size_t>(path.load)] : path.load)]));
    return amps;
}

} // namespace

Sharing share_out(const SizingModel& m, const std::vector<std::vector<int>>& open, Currents currents,
                  double kept_back) {
    Sharing sharing;
    std::vector<int> segment(m.wires.size(), none);
    for (std::size_t w = 0; w < m.wires.size(); ++w) {
        if (!m.wires[w].chosen) continue;
        segment[w] = static_cast<int>(sharing.wires.size());
        sharing.wires.push_back(static_cast<int>(w));
        sharing.options.push_back(open[w]);
        sharing.problem.segments.emplace_back();
    }
    std::vector<double> most_least(m.wires.size(), 0.0);     // the states' least currents: the most,
    std::vector<double> least_run(m.wires.size(), HUGE_VAL); // and the least, for its temperature
    for (int k = 0; k < static_cast<int>(m.states.size()); ++k) {
        const ModelState& s = m.states[static_cast<std::size_t>(k)];
        if (!judged(m, s)) continue;
        const std::vector<double> least = currents == Currents::least ? least_amps(m, s) : present_amps(m, s);
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
            double budget = si(m.request.rule.whole_loop) - kept_back;
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
            const auto t = steady_temperature(c.heat, from_si<Current<>>(amps));
            const double growth =
                1 + c.heat.per_kelvin * ((t ? in_celsius(*t) : c.heat.ambient_celsius) - 20);
            if (m.request.rule.wire &&
                most_least[w] * c.ohms_20 * growth > si(*m.request.rule.wire) + drop_rounding)
                continue;
            within.push_back(o);
            sharing.problem.segments[g].options.push_back({c.copper_kg, c.ohms_20 * growth});
        }
        if (within.empty()) sharing.over_rule = static_cast<int>(w);
        sharing.options[g] = std::move(within);
    }
    return sharing;
}

double over_rule(SizingModel& m, std::span<const int> option) {
    double most = -HUGE_VAL;
    for (ModelState& s : m.states) {
        if (!judged(m, s)) continue;
        if (solve_state(m, s, option)) return HUGE_VAL;
        for (const LoadPath& path : s.paths)
            if (!path.coil) most = std::max(most, lost_on(m, s, path) - si(m.request.rule.whole_loop));
        if (!m.request.rule.wire) continue;
        for (const ModelWire& wire : m.wires) {
            if (!wire.chosen) continue;
            const Part& part = m.circuit.parts[static_cast<std::size_t>(wire.part)];
            const double drop = s.at.volts(m.network, part.from) - s.at.volts(m.network, part.to);
            most = std::max(most, std::abs(drop) - si(*m.request.rule.wire));
        }
    }
    return most;
}

bool within_rule(SizingModel& m, std::span<const int> option) {
    return over_rule(m, option) <= drop_rounding;
}

std::vector<int> Sharing::spread(std::span<const int> chosen, std::size_t count) const {
    std::vector<int> all(count, 0);
    for (std::size_t g = 0; g < chosen.size(); ++g)
        all[static_cast<std::size_t>(wires[g])] = options[g][static_cast<std::size_t>(chosen[g])];
    return all;
}

std::vector<int> Sharing::gathered(std::span<const int> option) const {
    std::vector<int> chosen;
    for (std::size_t g = 0; g < wires.size(); ++g) {
        const auto at =
            std::find(options[g].begin(), options[g].end(), option[static_cast<std::size_t>(wires[g])]);
        if (at == options[g].end()) return {};
        chosen.push_back(static_cast<int>(at - options[g].begin()));
    }
    return chosen;
}

} // namespace lostvolts

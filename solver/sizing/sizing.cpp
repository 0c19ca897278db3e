#include "solver/sizing/sizing.h"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/sizing/complaints.h"
#include "solver/sizing/harness.h"
#include "solver/sizing/sharing.h"

namespace lostvolts {
namespace {

constexpr int most_rounds = 24;
constexpr int calm_rounds = 8; ///< after which sizes and ratings only go up

std::vector<std::string> idle_states(const SizingModel& m) {
    std::vector<std::string> idle;
    for (const ModelState& s : m.states)
        if (std::all_of(s.paths.begin(), s.paths.end(), [](const LoadPath& p) { return p.coil; }))
            idle.push_back(m.circuit.states[static_cast<std::size_t>(s.state)].name);
    return idle;
}

Problem nothing_flows(const SizingModel& m, const std::vector<std::string>& idle) {
    return {m.circuit.file,
            {},
            fmt::format("no load carries current in state \"{}\"; there is nothing to size for",
                        fmt::join(idle, "\", \"")),
            "close what switches the load in that state, or name another with --state",
            ""};
}

/// A wire on no load's way, between two sources or in a circuit that is off in every state, has nothing to be
/// sized by: it stays as drawn. Their names.
std::vector<std::string> keep_idle_wires(SizingModel& m) {
    std::vector<char> on_way(m.wires.size(), 0);
    for (const ModelState& s : m.states)
        for (const LoadPath& path : s.paths)
            for (const auto& step : path.steps)
                if (const int w = m.wire_of_part[static_cast<std::size_t>(step.part)]; w != none)
                    on_way[static_cast<std::size_t>(w)] = 1;
    std::vector<std::string> names;
    for (std::size_t w = 0; w < m.wires.size(); ++w)
        if (m.wires[w].chosen && !on_way[w]) {
            keep_as_drawn(m, w);
            names.push_back(m.circuit.parts[static_cast<std::size_t>(m.wires[w].part)].name);
        }
    return names;
}

/// One harness being sized. Each step returns the problems that end it, if any.
struct Sizer {
    SizingModel& m;
    Harness& h;
    std::vector<int> least; ///< per wire: thinner sizes were found wanting once all was settled
    double kept_back = 0;   ///< volts off the budgets, for what present currents don't foresee

    Problems solve(const std::vector<int>& option) {
        Problems problems;
        h.option = option;
        for (ModelState& s : m.states) {
            for (std::size_t f = 0; f < m.fuses.size(); ++f) set_fuse(m, s.setup, m.fuses[f], m.ratings[f]);
            if (auto problem = solve_state(m, s, option))
                problems.push_back(*problem);
            else
                find_paths(m, s);
        }
        return problems;
    }

    Problems choose_fuses() {
        Problems problems;
        const auto& keep = m.request.keep;
        for (std::size_t f = 0; f < m.fuses.size(); ++f) {
            const FuseDemand& demand = h.demands.fuses[f];
            if (std::find(keep.begin(), keep.end(), m.fuses[f]) != keep.end()) continue;
            if (demand.load < 1e-6) continue; // nothing flows: as drawn
            const auto rating = choose_rating(m, demand);
            if (!rating)
                problems.push_back(no_fuse(m, demand, m.fuses[f]));
            else
                m.ratings[f] = h.rounds > calm_rounds ? std::max(*rating, m.ratings[f]) : *rating;
        }
        return problems;
    }

    Problems open_sizes() {
        Problems problems;
        h.open.assign(m.wires.size(), {});
        h.refused.assign(m.wires.size(), {});
        for (std::size_t w = 0; w < m.wires.size(); ++w) {
            const ModelWire& wire = m.wires[w];
            for (int o = 0; o < static_cast<int>(wire.choices.size()); ++o) {
                std::optional<Binding> why;
                if (wire.chosen)
                    why = refused(m, h.demands.wires[w], wire.choices[static_cast<std::size_t>(o)]);
                if (wire.chosen && !why && o < least[w]) why = Binding::drop;
                h.refused[w].push_back(why);
                if (!why) h.open[w].push_back(o);
            }
            if (h.open[w].empty()) problems.push_back(no_size(m, h.demands, w));
        }
        return problems;
    }

    /// The least copper at the currents as they are; solved with it.
    Problems share() {
        const Sharing sharing = share_out(m, h.open, Currents::present, kept_back);
        if (sharing.over_rule != none)
            return {wire_over_rule(m, static_cast<std::size_t>(sharing.over_rule))};
        h.tree = sharing.tree;
        ChoiceEffort brief = m.request.effort; // the proof comes last, when all has settled
        brief.most_nodes /= 5;
        h.choice = choose_sizes(sharing.problem, brief);
        if (!h.choice.feasible) {
            std::vector<int> thickest;
            for (const auto& open : h.open) thickest.push_back(open.back());
            if (Problems problems = solve(thickest); !problems.empty()) return problems;
            return {too_much_lost(m)};
        }
        if (as_good(sharing, h.choice)) return {};
        std::vector<int> next = sharing.spread(h.choice.option, m.wires.size());
        if (h.rounds > calm_rounds)
            for (std::size_t w = 0; w < next.size(); ++w)
                if (m.wires[w].chosen && next[w] > h.option[w]) least[w] = next[w];
        return solve(next);
    }

    /// The sizes as they are fit too and weigh no more (a thousandth where the search was not finished):
    /// another choice would only move the currents again.
    bool as_good(const Sharing& sharing, const Choice& choice) const {
        const std::vector<int> now = sharing.gathered(h.option);
        if (now.empty() && !sharing.wires.empty()) return false;
        const double room = choice.proven ? 1e-12 : 1e-3;
        double mass = 0;
        std::vector<double> left = sharing.problem.budgets;
        for (std::size_t g = 0; g < now.size(); ++g) {
            const Segment& segment = sharing.problem.segments[g];
            const SizeOption& option = segment.options[static_cast<std::size_t>(now[g])];
            mass += option.mass;
            for (const auto& on : segment.paths)
                left[static_cast<std::size_t>(on.path)] -= on.amps * option.ohms;
        }
        return mass <= choice.mass * (1 + room) &&
               std::all_of(left.begin(), left.end(), [](double volts) { return volts >= -drop_rounding; });
    }

    /// With all settled: does every size still stand, at its own currents?
    bool stands() {
        h.demands = find_demands(m);
        bool good = true;
        for (std::size_t w = 0; w < m.wires.size(); ++w) {
            const auto o = static_cast<std::size_t>(h.option[w]);
            if (!m.wires[w].chosen || !refused(m, h.demands.wires[w], m.wires[w].choices[o])) continue;
            least[w] = h.option[w] + 1;
            good = false;
        }
        return good;
    }

    /// Nothing lighter meets the rule, or here it is: the search with currents that none can fall below, each
    /// answer put to the full network.
    Problems prove() {
        const Sharing sharing = share_out(m, h.open, Currents::least);
        const std::vector<int> start = sharing.gathered(h.option);
        if (start.empty()) return {};
        const Accept accept = [&](std::span<const int> chosen) {
            return within_rule(m, sharing.spread(chosen, m.wires.size()));
        };
        h.choice = choose_sizes(sharing.problem, m.request.effort, accept, start);
        h.choice.proven = h.choice.proven && sharing.tree;
        return solve(sharing.spread(h.choice.option, m.wires.size()));
    }
};

} // namespace

Result<Sizing> size_harness(const Network& network, const SizingRequest& request) {
    SizingModel m = make_model(network, request);
    std::vector<int> thickest;
    for (const ModelWire& w : m.wires) thickest.push_back(static_cast<int>(w.choices.size()) - 1);
    Harness h{m, {}, {}, {}, {}, {}, {}, {}};
    Sizer sizer{m, h, std::vector<int>(m.wires.size(), 0)};
    Problems problems = sizer.solve(thickest);
    if (!problems.empty()) return problems;
    h.idle = idle_states(m);
    if (h.idle.size() == m.states.size()) return nothing_flows(m, h.idle);

    h.off_way = keep_idle_wires(m);
    for (std::size_t w = 0; w < m.wires.size(); ++w)
        h.option[w] = static_cast<int>(m.wires[w].choices.size()) - 1;
    if (problems = sizer.solve(std::vector<int>(h.option)); !problems.empty()) return problems;
    h.stable = false;
    for (h.rounds = 1; h.rounds <= most_rounds && !h.stable; ++h.rounds) {
        const std::vector<int> option = h.option;
        const std::vector<double> ratings = m.ratings;
        h.demands = find_demands(m);
        if (problems = sizer.choose_fuses(); !problems.empty()) return problems;
        if (m.ratings != ratings)
            if (problems = sizer.solve(option); !problems.empty()) return problems;
        if (problems = sizer.open_sizes(); !problems.empty()) return problems;
        if (problems = sizer.share(); !problems.empty()) return problems;
        if (h.option != option || m.ratings != ratings) continue;
        if (const double over = over_rule(m, h.option); over > drop_rounding) {
            sizer.kept_back += 1.01 * over;
            continue;
        }
        if (!sizer.stands()) continue;
        if (problems = sizer.prove(); !problems.empty()) return problems;
        h.stable = sizer.stands();
    }
    return results(h);
}

} // namespace lostvolts

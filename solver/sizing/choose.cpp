#include "solver/sizing/choose.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>

#include "solver/sizing/dual.h"
#include "solver/units/patience.h"

namespace lostvolts {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double drop_slack = 1e-12; // volts: rounding in a sum of drops
constexpr double mass_slack = 1e-12; // share of the mass: equal weights are equal

struct Slot {
    int segment;
    int option;
};

/// A combination of options of the segments of one group.
struct Combination {
    double mass = 0;
    double ohms = 0;
    double excess = 0; ///< reduced cost above the group's least
    int parent = -1;   ///< in the previous segment's front
    int option = 0;
};

/// Segments that carry the same currents on the same paths: only their summed resistance counts.
struct Group {
    std::vector<int> segments;
    std::vector<Segment::OnPath> paths;
    double price = 0;                             ///< Σ_j λ_j·amps_j: kg per ohm
    std::vector<std::vector<Combination>> fronts; ///< per segment, the last is the group's own
    const std::vector<Combination>& front() const { return fronts.back(); }
};

std::vector<Group> group_segments(const ChoiceProblem& problem, const std::vector<double>& price) {
    std::map<std::vector<std::pair<int, double>>, std::size_t> known;
    std::vector<Group> groups;
    for (std::size_t s = 0; s < problem.segments.size(); ++s) {
        std::vector<std::pair<int, double>> key;
        for (const auto& p : problem.segments[s].paths) key.emplace_back(p.path, p.amps);
        const auto [at, fresh] = known.emplace(std::move(key), groups.size());
        if (fresh) {
            groups.emplace_back();
            groups.back().paths = problem.segments[s].paths;
            for (const auto& p : groups.back().paths)
                groups.back().price += price[static_cast<std::size_t>(p.path)] * p.amps;
        }
        groups[at->second].segments.push_back(static_cast<int>(s));
    }
    return groups;
}

/// The group's best combinations, segment after segment: none that another beats in mass and ohms, and none
/// whose reduced cost alone uses up `room`. False when a front grows too long to keep.
bool build_fronts(Group& group, const ChoiceProblem& problem, double room) {
    constexpr std::size_t longest = 200'000;
    group.fronts.clear();
    std::vector<Combination> before{{}};
    for (const int segment : group.segments) {
        const auto& options = problem.segments[static_cast<std::size_t>(segment)].options;
        double least = infinity;
        for (const SizeOption& o : options) least = std::min(least, o.mass + group.price * o.ohms);
        std::vector<Combination> now;
        for (std::size_t b = 0; b < before.size(); ++b)
            for (std::size_t o = 0; o < options.size(); ++o) {
                const double excess =
                    before[b].excess + options[o].mass + group.price * options[o].ohms - least;
                if (excess > room) continue;
                now.push_back({before[b].mass + options[o].mass, before[b].ohms + options[o].ohms,
                               std::max(0.0, excess), static_cast<int>(b), static_cast<int>(o)});
            }
        std::sort(now.begin(), now.end(), [](const Combination& a, const Combination& b) {
            return a.mass != b.mass ? a.mass < b.mass : a.ohms < b.ohms;
        });
        std::vector<Combination> front;
        for (const Combination& c : now)
            if (front.empty() || c.ohms < front.back().ohms) front.push_back(c);
        if (front.empty() || front.size() > longest) return false;
        before = front;
        group.fronts.push_back(std::move(front));
    }
    return true;
}

void write_out(const Group& group, int at, std::vector<int>& option) {
    for (std::size_t k = group.segments.size(); k-- > 0;) {
        const Combination& c = group.fronts[k][static_cast<std::size_t>(at)];
        option[static_cast<std::size_t>(group.segments[k])] = c.option;
        at = c.parent;
    }
}

/// Depth first over the groups, the dearest first, each group's combinations by reduced cost.
struct Search {
    const ChoiceProblem& problem;
    const ChoiceEffort& effort;
    const Accept& accept;
    std::vector<Group>& groups;
    double bound; ///< of the whole
    Choice& best;

    std::vector<std::vector<int>> order{};         ///< per group, its front by reduced cost
    std::vector<std::vector<double>> least_rest{}; ///< per depth, per path: least drop of the groups after it
    std::vector<double> left{};                    ///< per path: budget not used yet
    std::vector<int> chosen{};
    std::vector<int> scratch{};
    long refused = 0;
    bool out_of_nodes = false;
    double least_left = infinity;    ///< lower bound of what was not searched
    double least_refused = infinity; ///< mass of the lightest that `accept` turned down

    void prepare() {
        std::sort(groups.begin(), groups.end(), [](const Group& a, const Group& b) {
            const auto spread = [](const Group& g) {
                double most = 0;
                for (const Combination& c : g.front()) most = std::max(most, c.mass);
                return most - g.front().front().mass;
            };
            return spread(a) > spread(b);
        });
        for (const Group& g : groups) {
            std::vector<int> o(g.front().size());
            for (std::size_t k = 0; k < o.size(); ++k) o[k] = static_cast<int>(k);
            std::stable_sort(o.begin(), o.end(), [&](int a, int b) {
                return g.front()[static_cast<std::size_t>(a)].excess <
                       g.front()[static_cast<std::size_t>(b)].excess;
            });
            order.push_back(std::move(o));
        }
        least_rest.assign(groups.size() + 1, std::vector<double>(problem.budgets.size(), 0.0));
        for (std::size_t g = groups.size(); g-- > 0;) {
            least_rest[g] = least_rest[g + 1];
            const double thick = groups[g].front().back().ohms, thin = groups[g].front().front().ohms;
            for (const auto& p : groups[g].paths)
                least_rest[g][static_cast<std::size_t>(p.path)] += std::min(p.amps * thick, p.amps * thin);
        }
        left = problem.budgets;
        chosen.assign(groups.size(), 0);
        scratch.assign(problem.segments.size(), 0);
    }

    void leaf(double mass) {
        if (mass >= best.mass * (1 - mass_slack)) return;
        for (std::size_t g = 0; g < groups.size(); ++g) write_out(groups[g], chosen[g], scratch);
        if (accept && !accept(scratch)) {
            least_refused = std::min(least_refused, mass);
            if (++refused > effort.most_refused) out_of_nodes = true;
            return;
        }
        best.feasible = true;
        best.mass = mass;
        best.option = scratch;
    }

    void go(std::size_t depth, double used, double mass) {
        give_up_if_told();
        if (depth == groups.size()) return leaf(mass);
        const Group& g = groups[depth];
        for (const int k : order[depth]) {
            const Combination& c = g.front()[static_cast<std::size_t>(k)];
            if (bound + used + c.excess >= best.mass * (1 - mass_slack)) return; // the rest cost more still
            if (out_of_nodes || ++best.nodes > effort.most_nodes) {
                out_of_nodes = true;
                least_left = std::min(least_left, bound + used + c.excess);
                return;
            }
            bool fits = true;
            for (const auto& p : g.paths) {
                const auto j = static_cast<std::size_t>(p.path);
                left[j] -= p.amps * c.ohms;
                fits = fits && left[j] >= least_rest[depth + 1][j] - drop_slack;
            }
            if (fits) {
                chosen[depth] = k;
                go(depth + 1, used + c.excess, mass + c.mass);
            }
            for (const auto& p : g.paths) left[static_cast<std::size_t>(p.path)] += p.amps * c.ohms;
        }
    }
};

/// Fills in why nothing fits. True when nothing does.
bool cannot_fit(const ChoiceProblem& problem, Choice& choice) {
    std::vector<double> least(problem.budgets.size(), 0.0);
    for (const Segment& s : problem.segments)
        for (const auto& p : s.paths) {
            double drop = infinity;
            for (const SizeOption& o : s.options) drop = std::min(drop, p.amps * o.ohms);
            least[static_cast<std::size_t>(p.path)] += drop;
        }
    for (std::size_t j = 0; j < least.size(); ++j)
        if (const double over = least[j] - problem.budgets[j];
            over > drop_slack && over > choice.failing_volts) {
            choice.failing_volts = over;
            choice.failing_path = static_cast<int>(j);
        }
    return choice.failing_path >= 0;
}

Choice choose_linked(const ChoiceProblem& problem, const ChoiceEffort& effort, const Accept& accept,
                     std::span<const int> start) {
    Choice best;
    best.mass = infinity;
    if (start.empty() && cannot_fit(problem, best)) return best;
    const DualAnswer dual = solve_dual(problem, effort.dual_steps, accept, start);
    best.bound = dual.bound;
    if (dual.found) {
        best.feasible = true;
        best.mass = dual.mass;
        best.option = dual.option;
    }
    if (!dual.found) return best; // not even the thickest of all is accepted
    std::vector<Group> groups = group_segments(problem, dual.price);
    const double room = best.feasible ? best.mass - dual.bound : infinity;
    bool whole = true;
    for (Group& g : groups) whole = whole && build_fronts(g, problem, room * (1 + 1e-9) + 1e-15);
    if (!whole) return best;
    Search search{problem, effort, accept, groups, dual.bound, best};
    search.prepare();
    search.go(0, 0, 0);
    if (!best.feasible) return best;
    best.proven = !search.out_of_nodes;
    best.conditional = search.least_refused < best.mass;
    best.bound = best.proven ? best.mass : std::min(best.mass, std::max(dual.bound, search.least_left));
    best.bound_beside = std::min({best.bound, best.mass, std::max(dual.bound, search.least_refused)});
    return best;
}

/// Segments that paths link, directly or through others; each list is searched by itself.
std::vector<std::vector<int>> linked_parts(const ChoiceProblem& problem) {
    std::vector<int> root(problem.segments.size());
    std::iota(root.begin(), root.end(), 0);
    const auto find = [&root](int s) {
        while (root[static_cast<std::size_t>(s)] != s) s = root[static_cast<std::size_t>(s)];
        return s;
    };
    std::vector<int> first(problem.budgets.size(), -1);
    for (int s = 0; s < static_cast<int>(root.size()); ++s)
        for (const auto& on : problem.segments[static_cast<std::size_t>(s)].paths) {
            int& f = first[static_cast<std::size_t>(on.path)];
            if (f < 0) f = s;
            const int a = find(f), b = find(s);
            root[static_cast<std::size_t>(std::max(a, b))] = std::min(a, b);
        }
    std::map<int, std::vector<int>> parts;
    for (int s = 0; s < static_cast<int>(root.size()); ++s) parts[find(s)].push_back(s);
    std::vector<std::vector<int>> all;
    all.reserve(parts.size());
    for (auto& [unused, part] : parts) all.push_back(std::move(part));
    return all;
}

ChoiceProblem part_of(const ChoiceProblem& problem, const std::vector<int>& segments) {
    ChoiceProblem part;
    std::map<int, int> path;
    for (const int s : segments) {
        part.segments.push_back(problem.segments[static_cast<std::size_t>(s)]);
        for (auto& on : part.segments.back().paths) {
            const auto [at, fresh] = path.emplace(on.path, static_cast<int>(part.budgets.size()));
            if (fresh) part.budgets.push_back(problem.budgets[static_cast<std::size_t>(on.path)]);
            on.path = at->second;
        }
    }
    return part;
}

} // namespace

Choice choose_sizes(const ChoiceProblem& problem, const ChoiceEffort& effort, const Accept& accept,
                    std::span<const int> start) {
    Choice whole;
    if (start.empty() && cannot_fit(problem, whole)) return whole;
    const std::vector<std::vector<int>> parts = linked_parts(problem);
    if (parts.size() <= 1 || (accept && start.empty())) return choose_linked(problem, effort, accept, start);
    // Part by part, the others standing as they are. What `accept` turned down was turned down beside them
    // only, so such a choice still counts for the bound.
    whole.feasible = whole.proven = true;
    whole.option.assign(problem.segments.size(), 0);
    std::copy(start.begin(), start.end(), whole.option.begin());
    for (const std::vector<int>& part : parts) {
        std::vector<int> from, trial = whole.option;
        for (const int s : part)
            if (!start.empty()) from.push_back(whole.option[static_cast<std::size_t>(s)]);
        const Accept accept_part = [&](std::span<const int> chosen) {
            for (std::size_t k = 0; k < part.size(); ++k)
                trial[static_cast<std::size_t>(part[k])] = chosen[k];
            return accept(trial);
        };
        const Choice one =
            choose_linked(part_of(problem, part), effort, accept ? accept_part : Accept{}, from);
        if (!one.feasible) {
            whole.feasible = whole.proven = false;
            return whole;
        }
        for (std::size_t k = 0; k < part.size(); ++k)
            whole.option[static_cast<std::size_t>(part[k])] = one.option[k];
        whole.mass += one.mass;
        whole.bound += one.conditional ? one.bound_beside : one.bound;
        whole.nodes += one.nodes;
        whole.proven = whole.proven && one.proven && !one.conditional;
    }
    return whole;
}

Choice choose_exhaustively(const ChoiceProblem& problem, const Accept& accept) {
    Choice best;
    best.mass = infinity;
    if (cannot_fit(problem, best)) return best;
    std::vector<int> option(problem.segments.size(), 0);
    while (true) {
        ++best.nodes;
        std::vector<double> drop(problem.budgets.size(), 0.0);
        double mass = 0;
        for (std::size_t s = 0; s < option.size(); ++s) {
            const SizeOption& o = problem.segments[s].options[static_cast<std::size_t>(option[s])];
            mass += o.mass;
            for (const auto& p : problem.segments[s].paths)
                drop[static_cast<std::size_t>(p.path)] += p.amps * o.ohms;
        }
        bool fits = mass < best.mass;
        for (std::size_t j = 0; j < drop.size(); ++j)
            fits = fits && drop[j] <= problem.budgets[j] + drop_slack;
        if (fits && (!accept || accept(option))) {
            best.feasible = best.proven = true;
            best.mass = best.bound = mass;
            best.option = option;
        }
        std::size_t s = 0;
        while (s < option.size() && ++option[s] == static_cast<int>(problem.segments[s].options.size()))
            option[s++] = 0;
        if (s == option.size()) return best;
    }
}

} // namespace lostvolts

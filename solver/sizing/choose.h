// The search for least copper over discrete sizes: each wire takes one of its options, and along every path
// the drops add up to no more than that path may lose.
//   minimise Σ_w mass_w(x_w)   such that for each path j   Σ_w drop_jw(x_w) ≤ budget_j
// Exact: a Lagrange bound, options ruled out by their reduced cost, wires that always carry the same currents
// merged into one front of best combinations, then branch and bound. When its budget of nodes runs out the
// answer carries a proven gap instead.
#pragma once

#include <functional>
#include <span>
#include <vector>

namespace lostvolts {

/// One size for one wire. `drops` belong to the paths of its Segment, in their order, in volts.
struct SizeOption {
    double mass = 0; ///< kg, what is made least
    double ohms = 0; ///< at 1 A per unit of the segment's `amps`
};

struct Segment {
    /// Where it lies: the path's index, and the amperes it carries there (signed; drop = amps·ohms).
    struct OnPath {
        int path = 0;
        double amps = 0;
    };
    std::vector<OnPath> paths;
    std::vector<SizeOption> options; ///< at least one; any order
};

struct ChoiceProblem {
    std::vector<Segment> segments;
    std::vector<double> budgets; ///< volts per path
};

struct ChoiceEffort {
    long most_nodes = 2'000'000; ///< of branch and bound, each linked part
    long most_refused = 2'000;   ///< answers that `accept` turns down
    int dual_steps = 600;
};

struct Choice {
    bool feasible = false;
    std::vector<int> option; ///< per segment
    double mass = 0;
    double bound = 0;    ///< no feasible choice weighs less
    bool proven = false; ///< mass is least
    long nodes = 0;
    bool conditional = false; ///< a lighter one was turned down by `accept`
    double bound_beside = 0;  ///< the bound had those been taken
    /// Without a feasible choice: the path that even the thickest wires fail, worst of all, and by how much.
    int failing_path = -1;
    double failing_volts = 0;

    double gap() const { return mass > 0 ? (mass - bound) / mass : 0; }
};

/// Says whether a choice really meets the limits; the search is then the least of those accepted. The budgets
/// must be necessary conditions: no choice outside them would be accepted.
using Accept = std::function<bool(std::span<const int>)>;

/// `start`: a choice that is known to be accepted, to begin from; it need not lie within rounding of the
/// budgets.
Choice choose_sizes(const ChoiceProblem& problem, const ChoiceEffort& effort = {}, const Accept& accept = {},
                    std::span<const int> start = {});

/// Every combination, for checking the above on small cases.
Choice choose_exhaustively(const ChoiceProblem& problem, const Accept& accept = {});

} // namespace lostvolts

// The drops along the ways to the loads, put as the problem of choose.h. Inside this room only.
#pragma once

#include "solver/sizing/model.h"

namespace lostvolts {

inline constexpr double drop_rounding = 1e-9; ///< volts: rounding of a working point

/// Which currents the drops are reckoned with.
enum class Currents {
    present, ///< those of the working points as they stand
    least,   ///< those that no choice within the limits can fall below: for a bound
};

struct Sharing {
    ChoiceProblem problem;
    std::vector<int> wires;                 ///< per segment: model wire
    std::vector<std::vector<int>> options;  ///< per segment: the choices of its wire that stand open
    std::vector<std::pair<int, int>> paths; ///< per budget: state, path
    bool tree = true;                       ///< every wire's current is its loads' together
    int over_rule = none;                   ///< a model wire that drops more than the rule at every size

    /// A choice per segment as one per model wire, and back; empty when it is not among the options.
    std::vector<int> spread(std::span<const int> chosen, std::size_t wires) const;
    std::vector<int> gathered(std::span<const int> option) const;
};

/// `open`: per model wire the sizes that heat and protection allow; `kept_back`: volts off every budget.
Sharing share_out(const SizingModel& model, const std::vector<std::vector<int>>& open, Currents currents,
                  double kept_back = 0);

/// The full network against the rule, at these sizes; most volts by which a load or a wire is over it.
double over_rule(SizingModel& model, std::span<const int> option);
bool within_rule(SizingModel& model, std::span<const int> option);

} // namespace lostvolts

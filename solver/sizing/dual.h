// The Lagrange bound of the search for least copper: a price per volt on each path makes every wire choose
// for itself, and no choice within the budgets weighs less than what that comes to. Repairing such choices
// gives good ones to start from. Inside this room only.
#pragma once

#include "solver/sizing/choose.h"

namespace lostvolts {

struct DualAnswer {
    std::vector<double> price; ///< kg per volt of each path, not negative
    double bound = 0;          ///< kg
    bool found = false;        ///< a choice within the budgets, and accepted
    std::vector<int> option;
    double mass = 0;
};

/// The problem must have a choice within its budgets. `start`: one already known to be accepted, or empty.
DualAnswer solve_dual(const ChoiceProblem& problem, int steps, const Accept& accept,
                      std::span<const int> start);

} // namespace lostvolts

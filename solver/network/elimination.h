// The sparse linear solve under every answer: node volts from branch conductances.
//
// The matrix of a network of conductances is eliminated one node at a time. Taking a node out is the
// star–mesh transformation: the node with neighbours of conductance w₁ … w_m and leak e to ground becomes
// conductances wₚ·w_q/d between its neighbours and leaks wₚ·e/d, with d = e + Σw. Kept in this form
// (off-diagonals and leaks, never the diagonal), nothing is ever subtracted: with non-negative conductances
// every number keeps full relative accuracy, however far apart milliohms and megohms are, and a node with d
// exactly 0 is exactly a part of the circuit that floats. Negative conductances (a constant-power load's
// slope) are allowed, without that guarantee.
//   Source: star–mesh, A. Rosen, J. IEE 62 (1924); accuracy, e.g. C. A. O'Cinneide, Numer. Math. 65 (1993);
//   both from memory.
//
// Order and every destination index are worked out once per structure (elimination_plan.h); the numeric phase
// is plain loops over flat arrays. Nothing here allocates once a Factor has been used with its plan, except
// to list floating nodes. A plan and a finished factor are only read, so threads may share them.
#pragma once

#include "solver/network/elimination_plan.h"

#include <cstdint>
#include <span>
#include <vector>

namespace lostvolts {

/// Numbers of one factorisation; reused, allocated once.
struct Factor {
    /// Per slot of the plan the fraction wₚ/d, then per pivot 1/d in ohms (0 at a held node), then a spare.
    std::vector<double> value;
    /// Nodes with d exactly 0 and nothing left attached: one per floating section, held at 0 V.
    std::vector<std::int32_t> floating;
    /// Nodes with d exactly 0 because conductances of opposite sign cancel. Held at 0 V and cut off from
    /// their neighbours so that the arithmetic stays finite, but the volts then answer another circuit: treat
    /// as unsolvable. Always empty when no conductance is negative.
    std::vector<std::int32_t> cancelled;
};

/// Factor for the conductance (siemens, finite) of each edge, in the order given to the plan.
void eliminate(const EliminationPlan& plan, std::span<const double> siemens, Factor& factor);

/// Solve in place: amperes into each node → volts at each node. The matrix is symmetric, so this is the
/// adjoint too. With amperes of one sign and no negative conductance every node's volts are right to rounding
/// relative to themselves. In a floating section volts are relative to its node in `factor.floating`, which
/// takes up any amperes left over.
void solve(const EliminationPlan& plan, const Factor& factor, std::span<double> amps_to_volts);

/// The same for several right-hand sides at once: node n of column c is at amps_to_volts[n·columns + c].
void solve_many(const EliminationPlan& plan, const Factor& factor, int columns,
                std::span<double> amps_to_volts);

/// For each node the index in `factor.floating` of the section it belongs to, −1 for a grounded node.
std::vector<std::int32_t> floating_section(const EliminationPlan& plan, const Factor& factor);

} // namespace lostvolts

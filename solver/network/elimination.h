// The sparse linear solve under every answer: node volts from branch conductances.
//
// The matrix of a network of conductances is eliminated one node at a time. Taking a node out is the star–mesh
// transformation: the node with neighbours of conductance w₁ … w_m and leak e to ground becomes conductances
// wₚ·w_q/d between its neighbours and leaks wₚ·e/d, with d = e + Σw. Kept in this form (off-diagonals and leaks,
// never the diagonal), nothing is ever subtracted: with non-negative conductances every number keeps full relative
// accuracy, however far apart milliohms and megohms are, and a node with d exactly 0 is exactly a part of the
// circuit that floats. Negative conductances (a constant-power load's slope) are allowed, without that guarantee.
//   Source: star–mesh, A. Rosen, J. IEE 62 (1924); accuracy, e.g. C. A. O'Cinneide, Numer. Math. 65 (1993) (memory).
//
// Order (Eigen's AMD) and every destination index are worked out once per structure; the numeric phase is plain
// loops over flat arrays.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace lostvolts {

inline constexpr std::int32_t ground_node = -1;

/// One conductance position: between two nodes, or from a node to ground (b == ground_node).
/// Parallel positions are allowed; both ends ground, or both the same node, is allowed and does nothing.
struct Edge {
    std::int32_t a = 0;
    std::int32_t b = ground_node;
};

/// Structure only: shared by every state, fault and step of one circuit, and by threads.
struct EliminationPlan;  // see elimination_plan.h? (the implementer decides; a complete struct here is fine)

/// Numbers of one factorisation; reused, allocated once.
struct Factor;

EliminationPlan plan_elimination(int nodes, std::span<const Edge> edges);

/// Factor for the conductance (siemens) of each edge, in the order given to the plan. `leak` gives each node an
/// extra conductance to ground and may be empty. A node whose d is exactly 0 is the last of a floating section:
/// it is held at 0 V and listed in `factor.floating`.
void eliminate(const EliminationPlan& plan, std::span<const double> siemens, Factor& factor);

/// Solve in place: amperes into each node → volts at each node. The matrix is symmetric, so this is the adjoint too.
void solve(const EliminationPlan& plan, const Factor& factor, std::span<double> amps_to_volts);

} // namespace lostvolts

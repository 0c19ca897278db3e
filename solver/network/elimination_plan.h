// What elimination needs to know about a network's structure, worked out once: the order in which nodes are
// taken out and, for every star–mesh update, where its result goes.
//
// A pivot is a node in its place of the order. Pivot k has one slot for each neighbour still present when it
// is taken out: the conductance between them, and afterwards the fraction f = w/d. Pivots are grouped in runs
// of equal degree that do not touch each other, so a run is one loop without branches whose turns the
// processor can overlap.
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

/// Consecutive pivots of one degree, none a neighbour of another. Their slots lie one after the other, as do
/// the targets of their updates.
struct PivotRun {
    std::int32_t first_pivot = 0;
    std::int32_t count = 0;
    std::int32_t degree = 0;
    std::int32_t first_slot = 0;
    std::int64_t first_target = 0;
};

/// From this degree on, the targets of a pivot are not one index an update but, for each p, how many
/// stretches of consecutive slots the updates with q > p go to, then the first slot and the length of each.
inline constexpr std::int32_t least_degree_of_stretches = 8;

/// Structure only: shared by every state, fault and step of one circuit, and by threads. Slots are counted in
/// 32 bits.
struct EliminationPlan {
    std::int32_t nodes = 0;
    std::vector<PivotRun> runs;
    std::vector<std::int32_t> node_of_pivot;
    std::vector<std::int32_t> neighbour;      // per slot, the pivot at the other end
    std::vector<std::int32_t> neighbour_node; // per slot, the node at the other end
    std::vector<std::int32_t> target;         // where each wₚ·w_q/d is added, pivot by pivot, p < q
    std::vector<std::int32_t> place_of_edge;  // per edge, where in Factor::value its conductance is added

    std::int32_t slots() const { return static_cast<std::int32_t>(neighbour.size()); }
};

/// Edges name nodes 0 … nodes − 1 or ground. Cost is proportional to nodes, edges and updates: linear for
/// tree-like networks, hubs of any degree included.
EliminationPlan plan_elimination(std::int32_t nodes, std::span<const Edge> edges);

} // namespace lostvolts

// The order in which nodes are taken out of a network of conductances.
//
// First rake and compress (G. Miller, J. Reif, FOCS 1985; from memory): each round takes out all nodes with
// one neighbour, then as many nodes with two as do not touch each other. Neither makes the network denser,
// and unlike minimum degree, which eats a series chain from its ends, it leaves few pivots waiting for one
// another. What is left, the meshed core, is ordered by approximate minimum degree (Amestoy, Davis, Duff
// 1996; Eigen's AMDOrdering).
#pragma once

#include <cstdint>
#include <span>
#include <vector>

namespace lostvolts {

/// Distinct neighbours of each node: those of node n are neighbour[first[n]] … neighbour[first[n + 1] − 1].
struct Adjacency {
    std::vector<std::int32_t> first;
    std::vector<std::int32_t> neighbour;

    std::int32_t nodes() const { return static_cast<std::int32_t>(first.size()) - 1; }
    std::span<const std::int32_t> of(std::int32_t node) const {
        return std::span(neighbour).subspan(first[node], first[node + 1] - first[node]);
    }
};

/// Every node once, in the order of elimination.
std::vector<std::int32_t> order_for_elimination(const Adjacency& network);

} // namespace lostvolts

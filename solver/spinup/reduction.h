// The straight part of a network seen from where anything bends, stores or moves: nodes in between are taken
// out once, before the first step, by star–mesh with at most three neighbours, which never makes the network
// larger. What stands at them is a weighted sum of what stands at the nodes kept.
#pragma once

#include <array>
#include <span>
#include <vector>

#include "solver/network/elimination_plan.h"

namespace lostvolts {

struct Reduction {
    struct Taken {
        std::int32_t node = 0;
        int neighbours = 0;
        std::array<std::int32_t, 3> neighbour{};
        std::array<double, 3> share{};
        double volts = 0; ///< what the amperes into it add
    };
    std::vector<std::int32_t> kept;  ///< nodes
    std::vector<std::int32_t> place; ///< per node: where in `kept`, or −1
    std::vector<Taken> taken;        ///< in the order taken out
    std::vector<Edge> edges;         ///< what conducts between kept nodes, or to ground (places, not nodes)
    std::vector<double> siemens;     ///< per edge
    std::vector<double> amps;        ///< into each kept node
};

/// `amps` flow into each node; `keep` marks the nodes that must stay. A node that nothing is attached to is
/// taken out at 0 V.
Reduction reduce(std::span<const Edge> edges, std::span<const double> siemens, std::span<const double> amps,
                 std::span<const char> keep);

/// Volts at a node as constant + Σ weight·(volts of a kept node).
struct Weighted {
    double constant = 0;
    std::vector<double> weight; ///< per kept node
};
std::vector<Weighted> volts_of_nodes(const Reduction& reduction);

} // namespace lostvolts

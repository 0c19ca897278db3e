// Networks of conductances to try the elimination on: made from a seed, the same every time.
#pragma once

#include "solver/network/elimination_plan.h"

#include <cstdint>
#include <random>
#include <vector>

namespace lostvolts::test {

struct Network {
    std::int32_t nodes = 0;
    std::vector<Edge> edges;
    std::vector<double> siemens; // one an edge
};

/// Conductances are spread evenly over the decades between two values, siemens.
struct Decades {
    double least = 0.1;
    double most = 10.0;
};

/// A harness: each node joined to one of the `reach` before it (1: a series chain), every twentieth closing a
/// loop as well, node 0 grounded and every tenth node leaking a tenth of a siemens.
Network tree_with_loops(std::int32_t nodes, std::uint64_t seed, Decades decades = {}, std::int32_t reach = 8);

/// `edges` conductances between any two of the nodes or a node and ground: parallel ones, both ends the same
/// and both ends ground among them, so that parts may float.
Network any_network(std::int32_t nodes, int edges, std::uint64_t seed, Decades decades = {});

/// Amperes into each node, none negative.
std::vector<double> random_amps(std::int32_t nodes, std::uint64_t seed);

} // namespace lostvolts::test

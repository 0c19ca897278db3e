#include "tests/network/random_network.h"

#include <algorithm>
#include <cmath>

namespace lostvolts::test {
namespace {

class Source {
  public:
    Source(std::uint64_t seed, Decades decades)
        : random_(seed), decade_(std::log10(decades.least), std::log10(decades.most)) {}

    double siemens() { return std::pow(10.0, decade_(random_)); }
    std::int32_t between(std::int32_t first, std::int32_t last) {
        return std::uniform_int_distribution<std::int32_t>(first, last)(random_);
    }

  private:
    std::mt19937_64 random_;
    std::uniform_real_distribution<double> decade_;
};

} // namespace

Network tree_with_loops(std::int32_t nodes, std::uint64_t seed, Decades decades, std::int32_t reach) {
    Source source(seed, decades);
    Network network{.nodes = nodes, .edges = {}, .siemens = {}};
    const auto join = [&](std::int32_t a, std::int32_t b, double siemens) {
        network.edges.push_back({a, b});
        network.siemens.push_back(siemens);
    };
    for (std::int32_t node = 0; node < nodes; ++node) {
        if (node == 0) join(node, ground_node, source.siemens());
        if (node > 0) join(node, source.between(std::max(0, node - reach), node - 1), source.siemens());
        if (node > 1 && source.between(1, 20) == 1)
            join(node, source.between(std::max(0, node - 3 * reach), node - 1), source.siemens());
        if (source.between(1, 10) == 1) join(node, ground_node, 0.1);
    }
    return network;
}

Network any_network(std::int32_t nodes, int edges, std::uint64_t seed, Decades decades) {
    Source source(seed, decades);
    Network network{.nodes = nodes, .edges = {}, .siemens = {}};
    for (int edge = 0; edge < edges; ++edge) {
        const auto a = source.between(ground_node, nodes - 1), b = source.between(ground_node, nodes - 1);
        network.edges.push_back({a, b});
        network.siemens.push_back(source.siemens());
    }
    return network;
}

std::vector<double> random_amps(std::int32_t nodes, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::vector<double> amps(nodes);
    for (double& value : amps) value = std::uniform_real_distribution<double>(0.0, 1.0)(random);
    return amps;
}

} // namespace lostvolts::test

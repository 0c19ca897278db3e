#include "solver/network/elimination_order.h"

#include <Eigen/OrderingMethods>
#include <Eigen/SparseCore>

#include <algorithm>
#include <array>

namespace lostvolts {
namespace {

/// The network as nodes leave it. A node's links are a chained list in which links to absent nodes stay until
/// the list is next read; `degree` counts the links to present nodes. Two nodes may be linked twice, so a
/// degree is an upper bound: harmless for an order.
class Shrinking {
  public:
    explicit Shrinking(const Adjacency& network) : degree_(network.nodes()), head_(network.nodes(), no_link) {
        links_.reserve(network.neighbour.size() + 2 * static_cast<std::size_t>(network.nodes()));
        for (std::int32_t node = 0; node < network.nodes(); ++node) {
            for (const std::int32_t other : network.of(node)) add_link(node, other);
            degree_[node] = static_cast<std::int32_t>(network.of(node).size());
        }
    }

    bool present(std::int32_t node) const { return degree_[node] != absent; }
    std::int32_t degree(std::int32_t node) const { return degree_[node]; }

    /// The present neighbours of a node of degree at most two; forgets its links to absent ones.
    std::span<const std::int32_t> few_neighbours(std::int32_t node) {
        std::size_t found = 0;
        std::array<std::int32_t, 2> kept{};
        for (std::int32_t link = head_[node]; link != no_link; link = links_[link].next) {
            if (!present(links_[link].to)) continue;
            kept[found] = link;
            few_[found++] = links_[link].to;
        }
        head_[node] = no_link;
        for (std::size_t i = found; i-- > 0;) {
            links_[kept[i]].next = head_[node];
            head_[node] = kept[i];
        }
        return {few_.data(), found};
    }

    /// Takes out a node of degree at most two, joining its two neighbours.
    void take_out(std::int32_t node) {
        const auto neighbours = few_neighbours(node);
        degree_[node] = absent;
        for (const std::int32_t other : neighbours) --degree_[other];
        if (neighbours.size() < 2 || neighbours[0] == neighbours[1]) return;
        const std::int32_t a = neighbours[0], b = neighbours[1];
        if (seems_linked(a, b) || seems_linked(b, a)) return;
        add_link(a, b);
        add_link(b, a);
        ++degree_[a];
        ++degree_[b];
    }

    /// Distinct present neighbours of each node in `nodes`, renumbered by their place there.
    Eigen::SparseMatrix<double> pattern_of(const std::vector<std::int32_t>& nodes) const {
        const auto size = static_cast<Eigen::Index>(nodes.size());
        std::vector<std::int32_t> place(degree_.size(), -1);
        for (std::size_t i = 0; i < nodes.size(); ++i) place[nodes[i]] = static_cast<std::int32_t>(i);
        std::vector<Eigen::Triplet<double>> entries;
        for (std::int32_t i = 0; i < size; ++i) {
            entries.emplace_back(i, i, 1.0);
            for (std::int32_t link = head_[nodes[i]]; link != no_link; link = links_[link].next)
                if (present(links_[link].to)) entries.emplace_back(i, place[links_[link].to], 1.0);
        }
        Eigen::SparseMatrix<double> pattern(size, size);
        pattern.setFromTriplets(entries.begin(), entries.end());
        return pattern;
    }

  private:
    static constexpr std::int32_t no_link = -1, absent = -1;
    struct Link {
        std::int32_t to, next;
    };

    void add_link(std::int32_t from, std::int32_t to) {
        links_.push_back({to, head_[from]});
        head_[from] = static_cast<std::int32_t>(links_.size()) - 1;
    }

    /// Looks at the newest links only, so that a hub costs no more than any other node.
    bool seems_linked(std::int32_t a, std::int32_t b) const {
        int left = 16;
        for (std::int32_t link = head_[a]; link != no_link && left > 0; link = links_[link].next, --left)
            if (links_[link].to == b) return true;
        return false;
    }

    std::vector<std::int32_t> degree_;
    std::vector<std::int32_t> head_;
    std::vector<Link> links_;
    std::array<std::int32_t, 2> few_{};
};

/// Takes out what rounds of rake and compress can, appending to `order`.
void rake_and_compress(Shrinking& network, std::int32_t nodes, std::vector<std::int32_t>& order) {
    std::vector<std::int32_t> candidates, next, round_touched(nodes, -1), round_queued(nodes, -1);
    for (std::int32_t node = 0; node < nodes; ++node)
        if (network.degree(node) <= 2) candidates.push_back(node);
    for (std::int32_t round = 0; !candidates.empty(); ++round) {
        next.clear();
        const auto queue = [&](std::int32_t node) {
            if (round_queued[node] == round || network.degree(node) > 2) return;
            round_queued[node] = round;
            next.push_back(node);
        };
        for (const int most_neighbours : {1, 2})
            for (const std::int32_t node : candidates) {
                if (!network.present(node) || network.degree(node) > most_neighbours) continue;
                if (round_touched[node] == round) {
                    queue(node);
                    continue;
                }
                const auto neighbours = network.few_neighbours(node);
                const std::array<std::int32_t, 2> touched{neighbours.empty() ? node : neighbours.front(),
                                                          neighbours.empty() ? node : neighbours.back()};
                network.take_out(node);
                order.push_back(node);
                for (const std::int32_t other : touched) {
                    round_touched[other] = round;
                    if (network.present(other)) queue(other);
                }
            }
        candidates.swap(next);
    }
}

} // namespace

std::vector<std::int32_t> order_for_elimination(const Adjacency& network) {
    std::vector<std::int32_t> order;
    order.reserve(network.nodes());
    Shrinking shrinking(network);
    rake_and_compress(shrinking, network.nodes(), order);

    std::vector<std::int32_t> core;
    for (std::int32_t node = 0; node < network.nodes(); ++node)
        if (shrinking.present(node)) core.push_back(node);
    if (core.empty()) return order;
    Eigen::PermutationMatrix<Eigen::Dynamic, Eigen::Dynamic, int> places;
    Eigen::AMDOrdering<int>()(shrinking.pattern_of(core), places);
    for (Eigen::Index i = 0; i < places.size(); ++i) order.push_back(core[places.indices()[i]]);
    return order;
}

} // namespace lostvolts

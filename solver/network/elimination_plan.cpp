#include "solver/network/elimination_plan.h"

#include "solver/network/elimination_order.h"

#include <algorithm>
#include <cassert>
#include <numeric>
#include <utility>

namespace lostvolts {
namespace {

using Index = std::int32_t;

bool joins_two_nodes(const Edge& edge) {
    return edge.a != ground_node && edge.b != ground_node && edge.a != edge.b;
}

Adjacency adjacency_of(Index nodes, std::span<const Edge> edges) {
    Adjacency all{std::vector<Index>(nodes + 1, 0), {}};
    for (const Edge& edge : edges)
        if (joins_two_nodes(edge)) {
            ++all.first[edge.a + 1];
            ++all.first[edge.b + 1];
        }
    std::partial_sum(all.first.begin(), all.first.end(), all.first.begin());
    all.neighbour.resize(all.first.back());
    std::vector<Index> fill(all.first.begin(), all.first.end());
    for (const Edge& edge : edges)
        if (joins_two_nodes(edge)) {
            all.neighbour[fill[edge.a]++] = edge.b;
            all.neighbour[fill[edge.b]++] = edge.a;
        }

    Adjacency distinct{std::vector<Index>(nodes + 1, 0), {}};
    distinct.neighbour.reserve(all.neighbour.size());
    std::vector<Index> last_seen_from(nodes, -1);
    for (Index node = 0; node < nodes; ++node) {
        for (const Index other : all.of(node))
            if (std::exchange(last_seen_from[other], node) != node) distinct.neighbour.push_back(other);
        distinct.first[node + 1] = static_cast<Index>(distinct.neighbour.size());
    }
    return distinct;
}

/// Neighbours of each pivot that are taken out after it, fill included, for any order of elimination. Rows
/// are not sorted. The parent of a pivot is the earliest of them: the pivots form a forest, the elimination
/// tree.
struct Rows {
    Adjacency later;
    std::vector<Index> parent; // −1 at a root
};

Rows rows_of(const Adjacency& network, const std::vector<Index>& order) {
    const Index nodes = network.nodes();
    std::vector<Index> rank(nodes), first_child(nodes, -1), next_child(nodes, -1), in_row(nodes, -1);
    for (Index k = 0; k < nodes; ++k) rank[order[k]] = k;
    Rows rows{{std::vector<Index>(nodes + 1, 0), {}}, std::vector<Index>(nodes, -1)};
    auto& neighbour = rows.later.neighbour;
    for (Index k = 0; k < nodes; ++k) {
        const auto add = [&](Index other) {
            if (other > k && std::exchange(in_row[other], k) != k) neighbour.push_back(other);
        };
        for (const Index node : network.of(order[k])) add(rank[node]);
        for (Index child = first_child[k]; child != -1; child = next_child[child])
            for (Index slot = rows.later.first[child]; slot < rows.later.first[child + 1]; ++slot)
                add(neighbour[slot]);
        const Index begin = rows.later.first[k], end = static_cast<Index>(neighbour.size());
        rows.later.first[k + 1] = end;
        if (begin == end) continue;
        const Index parent = *std::min_element(neighbour.begin() + begin, neighbour.end());
        rows.parent[k] = parent;
        next_child[k] = std::exchange(first_child[parent], k);
    }
    return rows;
}

/// Place of each pivot when a parent follows its children and each subtree is together.
std::vector<Index> postorder(const std::vector<Index>& parent) {
    const auto size = static_cast<Index>(parent.size());
    std::vector<Index> subtree(size, 1), place(size), next_place(size + 1, 0);
    for (Index k = 0; k < size; ++k)
        if (parent[k] != -1) subtree[parent[k]] += subtree[k];
    // A subtree takes the places [start, start + subtree); its root the last of them.
    for (Index k = size; k-- > 0;) {
        Index& start = next_place[parent[k] == -1 ? size : parent[k]];
        next_place[k] = start;
        place[k] = start + subtree[k] - 1;
        start += subtree[k];
    }
    return place;
}

/// Cuts the elimination tree, from the bottom up, into blocks of at most `most` pivots or little more, so
/// that a block's numbers stay in cache. Returns per pivot its block; a parent's block is never before its
/// child's.
std::vector<Index> cut_in_blocks(const std::vector<Index>& parent, const std::vector<Index>& sequence,
                                 Index most) {
    const auto size = static_cast<Index>(parent.size());
    std::vector<Index> block(size, -1), uncut(size, 1), first_child(size + 1, -1), next_child(size, -1);
    Index blocks = 0;
    const auto cut_below = [&](Index pivot) {
        Index used = 0;
        for (Index child = first_child[pivot]; child != -1; child = next_child[child]) {
            if (used > 0 && used + uncut[child] > most) {
                ++blocks;
                used = 0;
            }
            used += uncut[child];
            block[child] = blocks;
        }
        ++blocks;
    };
    for (const Index k : sequence) {
        for (Index child = first_child[k]; child != -1; child = next_child[child]) uncut[k] += uncut[child];
        if (uncut[k] > most) {
            cut_below(k);
            uncut[k] = 1;
        }
        next_child[k] = std::exchange(first_child[parent[k] == -1 ? size : parent[k]], k);
    }
    cut_below(size);
    for (Index i = size; i-- > 0;) {
        const Index k = sequence[i];
        if (block[k] == -1) block[k] = block[parent[k]];
    }
    return block;
}

struct PivotClass {
    Index block = 0, level = 0, degree = 0;
    bool operator==(const PivotClass&) const = default;
    auto operator<=>(const PivotClass&) const = default;
};

/// The pivots of `rows` in their final order: by block, by height in the elimination tree, by degree, by
/// postorder.
struct Schedule {
    std::vector<Index> sequence; // pivot of `rows` at each final place
    std::vector<PivotClass> of;  // per pivot of `rows`
};

Schedule schedule(const Rows& rows) {
    constexpr Index pivots_in_cache = 4096;
    const auto size = static_cast<Index>(rows.parent.size());
    Schedule result{std::vector<Index>(size), std::vector<PivotClass>(size)};
    const std::vector<Index> place = postorder(rows.parent);
    for (Index k = 0; k < size; ++k) result.sequence[place[k]] = k;
    const std::vector<Index> block = cut_in_blocks(rows.parent, result.sequence, pivots_in_cache);
    for (Index k = 0; k < size; ++k) {
        PivotClass& mine = result.of[k];
        mine.block = block[k];
        mine.degree = rows.later.first[k + 1] - rows.later.first[k];
        if (rows.parent[k] == -1 || block[rows.parent[k]] != block[k]) continue;
        Index& parents = result.of[rows.parent[k]].level;
        parents = std::max(parents, mine.level + 1);
    }
    std::stable_sort(result.sequence.begin(), result.sequence.end(),
                     [&](Index a, Index b) { return result.of[a] < result.of[b]; });
    return result;
}

/// Slot of the conductance between two pivots, in the row of the earlier.
Index slot_between(const EliminationPlan& plan, const std::vector<Index>& first_slot, Index a, Index b) {
    const auto [early, late] = std::minmax(a, b);
    const auto row = plan.neighbour.begin();
    return static_cast<Index>(std::lower_bound(row + first_slot[early], row + first_slot[early + 1], late) -
                              row);
}

void set_targets(EliminationPlan& plan, const std::vector<Index>& first_slot) {
    // For each pivot r in turn: where its row has each neighbour, then every earlier row that contains r.
    std::vector<Index> first_use(plan.nodes + 1, 0), pivot_of_slot(plan.slots()), use(plan.slots());
    std::vector<std::int64_t> first_target(plan.nodes);
    for (const Index other : plan.neighbour) ++first_use[other + 1];
    std::partial_sum(first_use.begin(), first_use.end(), first_use.begin());
    std::vector<Index> fill(first_use.begin(), first_use.end());
    std::int64_t targets = 0;
    for (Index k = 0; k < plan.nodes; ++k) {
        const std::int64_t degree = first_slot[k + 1] - first_slot[k];
        first_target[k] = targets;
        targets += degree * (degree - 1) / 2;
        for (Index slot = first_slot[k]; slot < first_slot[k + 1]; ++slot) {
            pivot_of_slot[slot] = k;
            use[fill[plan.neighbour[slot]]++] = slot;
        }
    }
    plan.target.resize(targets);
    std::vector<Index> slot_of(plan.nodes);
    for (Index r = 0; r < plan.nodes; ++r) {
        for (Index slot = first_slot[r]; slot < first_slot[r + 1]; ++slot)
            slot_of[plan.neighbour[slot]] = slot;
        for (Index u = first_use[r]; u < first_use[r + 1]; ++u) {
            const Index k = pivot_of_slot[use[u]];
            const std::int64_t degree = first_slot[k + 1] - first_slot[k], p = use[u] - first_slot[k];
            std::int64_t target = first_target[k] + p * (degree - 1) - p * (p - 1) / 2;
            for (Index slot = use[u] + 1; slot < first_slot[k + 1]; ++slot)
                plan.target[target++] = slot_of[plan.neighbour[slot]];
        }
    }
}

} // namespace

EliminationPlan plan_elimination(std::int32_t nodes, std::span<const Edge> edges) {
    assert(std::ranges::all_of(edges, [&](const Edge& edge) {
        return std::max(edge.a, edge.b) < nodes && std::min(edge.a, edge.b) >= ground_node;
    }));
    EliminationPlan plan;
    plan.nodes = nodes;
    const Adjacency network = adjacency_of(nodes, edges);
    const std::vector<Index> order = order_for_elimination(network);
    const Rows rows = rows_of(network, order);
    const Schedule scheduled = schedule(rows);

    std::vector<Index> final_place(nodes), pivot_of_node(nodes), first_slot(nodes + 1, 0);
    for (Index k = 0; k < nodes; ++k) final_place[scheduled.sequence[k]] = k;
    plan.neighbour.reserve(rows.later.neighbour.size());
    for (Index k = 0; k < nodes; ++k) {
        const Index old = scheduled.sequence[k];
        plan.node_of_pivot.push_back(order[old]);
        pivot_of_node[order[old]] = k;
        for (const Index other : rows.later.of(old)) plan.neighbour.push_back(final_place[other]);
        first_slot[k + 1] = plan.slots();
        std::sort(plan.neighbour.begin() + first_slot[k], plan.neighbour.end());

        const PivotClass& mine = scheduled.of[old];
        if (k == 0 || mine != scheduled.of[scheduled.sequence[k - 1]]) {
            std::int64_t first_target = 0;
            if (k > 0) {
                const PivotRun& last = plan.runs.back();
                const std::int64_t degree = last.degree;
                first_target = last.first_target + last.count * (degree * (degree - 1) / 2);
            }
            plan.runs.push_back({k, 0, mine.degree, first_slot[k], first_target});
        }
        ++plan.runs.back().count;
    }
    for (const Index pivot : plan.neighbour) plan.neighbour_node.push_back(plan.node_of_pivot[pivot]);
    set_targets(plan, first_slot);

    plan.place_of_edge.reserve(edges.size());
    const Index first_leak = plan.slots(), unused = plan.slots() + nodes;
    for (const Edge& edge : edges) {
        if (joins_two_nodes(edge))
            plan.place_of_edge.push_back(
                slot_between(plan, first_slot, pivot_of_node[edge.a], pivot_of_node[edge.b]));
        else if (edge.a == edge.b)
            plan.place_of_edge.push_back(unused);
        else
            plan.place_of_edge.push_back(first_leak + pivot_of_node[std::max(edge.a, edge.b)]);
    }
    return plan;
}

} // namespace lostvolts

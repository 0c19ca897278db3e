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
/// are not sorted. A pivot's parent is the earliest of its row: the pivots form a forest, the elimination
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

struct PivotClass {
    Index height = 0, degree = 0;
    bool operator==(const PivotClass&) const = default;
    auto operator<=>(const PivotClass&) const = default;
};

/// The pivots of `rows` in their final order: by height in the elimination tree, then degree, then postorder.
/// Any order with children before parents makes the same fill; in this one a run's pivots do not wait for one
/// another.
struct Schedule {
    std::vector<Index> sequence; // pivot of `rows` at each final place
    std::vector<PivotClass> of;  // per pivot of `rows`
};

Schedule schedule(const Rows& rows) {
    const auto size = static_cast<Index>(rows.parent.size());
    Schedule result{std::vector<Index>(size), std::vector<PivotClass>(size)};
    const std::vector<Index> place = postorder(rows.parent);
    for (Index k = 0; k < size; ++k) result.sequence[place[k]] = k;
    for (Index k = 0; k < size; ++k) {
        PivotClass& mine = result.of[k];
        mine.degree = rows.later.first[k + 1] - rows.later.first[k];
        if (rows.parent[k] == -1) continue;
        Index& parents = result.of[rows.parent[k]].height;
        parents = std::max(parents, mine.height + 1);
    }
    std::stable_sort(result.sequence.begin(), result.sequence.end(),
                     [&](Index a, Index b) { return result.of[a] < result.of[b]; });
    return result;
}

/// The slot in [from, row_end) whose neighbour is `other`; it must be there.
Index slot_of(const EliminationPlan& plan, Index other, Index from, Index row_end) {
    const auto slots = plan.neighbour.begin();
    if (slots[from] == other) return from;
    return static_cast<Index>(std::lower_bound(slots + from, slots + row_end, other) - slots);
}

/// Appends where the updates of one pivot go, in the form its run wants; `first_slot` is by pivot.
void append_targets(EliminationPlan& plan, const std::vector<Index>& first_slot, Index pivot) {
    const Index begin = first_slot[pivot], end = first_slot[pivot + 1];
    const bool stretches = end - begin >= least_degree_of_stretches;
    for (Index p = begin; p < end; ++p) {
        const Index row = plan.neighbour[p];
        Index slot = first_slot[row];
        const std::size_t count_place = plan.target.size();
        if (stretches) plan.target.push_back(0);
        for (Index q = p + 1; q < end; ++q) {
            const Index expected = slot;
            slot = slot_of(plan, plan.neighbour[q], slot, first_slot[row + 1]);
            if (!stretches) {
                plan.target.push_back(slot);
            } else if (q == p + 1 || slot != expected) {
                ++plan.target[count_place];
                plan.target.insert(plan.target.end(), {slot, 1});
            } else {
                ++plan.target.back();
            }
            ++slot;
        }
    }
}

/// Lays out pivots, runs and slots in the scheduled order. Returns the first slot of each pivot, and one
/// more.
std::vector<Index> lay_out(EliminationPlan& plan, const std::vector<Index>& order, const Rows& rows) {
    const Schedule scheduled = schedule(rows);
    std::vector<Index> final_place(plan.nodes), first_slot(plan.nodes + 1, 0);
    for (Index k = 0; k < plan.nodes; ++k) final_place[scheduled.sequence[k]] = k;
    plan.neighbour.reserve(rows.later.neighbour.size());
    for (Index k = 0; k < plan.nodes; ++k) {
        const Index old = scheduled.sequence[k];
        plan.node_of_pivot.push_back(order[old]);
        for (const Index other : rows.later.of(old)) plan.neighbour.push_back(final_place[other]);
        first_slot[k + 1] = plan.slots();
        std::sort(plan.neighbour.begin() + first_slot[k], plan.neighbour.end());

        const PivotClass& mine = scheduled.of[old];
        if (k == 0 || mine != scheduled.of[scheduled.sequence[k - 1]])
            plan.runs.push_back({k, 0, mine.degree, first_slot[k], 0});
        ++plan.runs.back().count;
    }
    for (const Index pivot : plan.neighbour) plan.neighbour_node.push_back(plan.node_of_pivot[pivot]);
    return first_slot;
}

void place_edges(EliminationPlan& plan, const std::vector<Index>& first_slot, std::span<const Edge> edges) {
    std::vector<Index> pivot_of_node(plan.nodes);
    for (Index k = 0; k < plan.nodes; ++k) pivot_of_node[plan.node_of_pivot[k]] = k;
    const Index first_leak = plan.slots(), unused = plan.slots() + plan.nodes;
    const auto place_of = [&](const Edge& edge) {
        if (edge.a == edge.b) return unused;
        if (!joins_two_nodes(edge)) return first_leak + pivot_of_node[std::max(edge.a, edge.b)];
        const auto [early, late] = std::minmax({pivot_of_node[edge.a], pivot_of_node[edge.b]});
        return slot_of(plan, late, first_slot[early], first_slot[early + 1]);
    };
    plan.place_of_edge.reserve(edges.size());
    for (const Edge& edge : edges) plan.place_of_edge.push_back(place_of(edge));
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
    const std::vector<Index> first_slot = lay_out(plan, order, rows_of(network, order));
    for (PivotRun& run : plan.runs) {
        run.first_target = static_cast<std::int64_t>(plan.target.size());
        for (Index i = 0; i < run.count; ++i) append_targets(plan, first_slot, run.first_pivot + i);
    }
    place_edges(plan, first_slot, edges);
    return plan;
}

} // namespace lostvolts

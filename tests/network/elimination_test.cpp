#include "solver/network/elimination.h"
#include "tests/network/random_network.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <numeric>

using namespace lostvolts;

namespace {

std::vector<double> volts_of(const test::Network& network, std::vector<double> amps, Factor& factor) {
    const EliminationPlan plan = plan_elimination(network.nodes, network.edges);
    eliminate(plan, network.siemens, factor);
    solve(plan, factor, amps);
    return amps;
}

std::vector<double> volts_of(const test::Network& network, std::vector<double> amps) {
    Factor factor;
    return volts_of(network, std::move(amps), factor);
}

/// Sections without a conductance to ground, by following conductances that are not zero: the least node of
/// the section for each node, −1 for a grounded one.
std::vector<std::int32_t> sections_by_search(const test::Network& network) {
    const std::int32_t ground = network.nodes;
    std::vector<std::int32_t> root(network.nodes + 1);
    std::iota(root.begin(), root.end(), 0);
    const auto find = [&](std::int32_t node) {
        while (root[node] != node) node = root[node];
        return node;
    };
    for (std::size_t i = 0; i < network.edges.size(); ++i) {
        if (network.siemens[i] == 0.0) continue;
        const auto end = [&](std::int32_t node) { return find(node == ground_node ? ground : node); };
        const std::int32_t a = end(network.edges[i].a), b = end(network.edges[i].b);
        root[std::max(a, b)] = std::min(a, b);
    }
    std::vector<std::int32_t> section(network.nodes);
    for (std::int32_t node = 0; node < network.nodes; ++node)
        section[node] = find(node) == find(ground) ? -1 : find(node);
    return section;
}

} // namespace

TEST_CASE("a chain of resistances divides the voltage") {
    // Expected, by hand: 1 A through 1, 2, 3 and 4 ohm to ground leaves 10, 9, 7 and 4 V. Tolerance:
    // rounding.
    const test::Network chain{
        4, {{0, 1}, {1, 2}, {2, 3}, {3, ground_node}}, {1.0, 1.0 / 2, 1.0 / 3, 1.0 / 4}};
    const auto volts = volts_of(chain, {1, 0, 0, 0});
    CHECK(volts[0] == doctest::Approx(10).epsilon(1e-14));
    CHECK(volts[1] == doctest::Approx(9).epsilon(1e-14));
    CHECK(volts[2] == doctest::Approx(7).epsilon(1e-14));
    CHECK(volts[3] == doctest::Approx(4).epsilon(1e-14));
}

TEST_CASE("a star of three legs is worth its mesh") {
    // Expected, by hand: legs of 1, 2 and 3 S have d = 6 S, so the mesh is 1·2/6, 1·3/6 and 2·3/6 S. With the
    // third corner grounded and 1 A into the first the centre stands at 1/3 V, the corners at 4/3 and 1/3 V.
    const test::Network star{3, {{0, 2}, {1, 2}, {2, ground_node}}, {1, 2, 3}};
    const test::Network mesh{2, {{0, 1}, {0, ground_node}, {1, ground_node}}, {2.0 / 6, 3.0 / 6, 6.0 / 6}};
    const auto from_star = volts_of(star, {1, 0, 0}), from_mesh = volts_of(mesh, {1, 0});
    CHECK(from_star[2] == doctest::Approx(1.0 / 3).epsilon(1e-15));
    for (const auto& volts : {from_star, from_mesh}) {
        CHECK(volts[0] == doctest::Approx(4.0 / 3).epsilon(1e-15));
        CHECK(volts[1] == doctest::Approx(1.0 / 3).epsilon(1e-15));
    }
}

TEST_CASE("every node joined to every other by 1 S and grounded by 1 S has a known inverse") {
    // Expected, by hand: ((n + 1)·I − J)⁻¹ = (I + J)/(n + 1), J all ones, so 1 A into the first node gives it
    // 2/(n + 1) V and every other 1/(n + 1) V. Such stars are wide enough to be taken out in stretches of
    // slots.
    for (const std::int32_t nodes : {2, 3, 5, 8, 9, 10, 33}) {
        test::Network all{nodes, {}, {}};
        for (std::int32_t a = 0; a < nodes; ++a)
            for (std::int32_t b = ground_node; b < a; ++b) all.edges.push_back({a, b});
        all.siemens.assign(all.edges.size(), 1.0);
        std::vector<double> amps(nodes, 0.0);
        amps[0] = 1.0;
        const auto volts = volts_of(all, amps);
        CAPTURE(nodes);
        CHECK(volts[0] == doctest::Approx(2.0 / (nodes + 1)).epsilon(1e-14));
        for (std::int32_t node = 1; node < nodes; ++node)
            CHECK(volts[node] == doctest::Approx(1.0 / (nodes + 1)).epsilon(1e-14));
    }
}

TEST_CASE(
    "parallel conductances add and a conductance from a node to itself or ground to ground does nothing") {
    // Expected, by hand: 1 + 3 S between the nodes and 0.5 + 0.5 S to ground carry 2 A with 0.5 V and 2 V.
    const test::Network network{
        2, {{0, 1}, {1, 0}, {1, ground_node}, {ground_node, 1}, {0, 0}, {-1, -1}}, {1, 3, 0.5, 0.5, 7, 9}};
    const auto volts = volts_of(network, {2, 0});
    CHECK(volts[1] == doctest::Approx(2.0).epsilon(1e-15));
    CHECK(volts[0] == doctest::Approx(2.5).epsilon(1e-15));
}

TEST_CASE("a network without nodes and one without conductances can be solved") {
    // Expected, by definition: nothing to solve, and every node a floating section of its own at 0 V.
    Factor factor;
    CHECK(volts_of({0, {}, {}}, {}, factor).empty());
    CHECK(factor.floating.empty());
    CHECK(volts_of({3, {}, {}}, {1, 2, 3}, factor) == std::vector<double>{0, 0, 0});
    std::sort(factor.floating.begin(), factor.floating.end());
    CHECK(factor.floating == std::vector<std::int32_t>{0, 1, 2});
}

TEST_CASE("an open switch leaves a floating section whose volts are relative to one of its nodes") {
    // Expected, by hand: nodes 2 and 3 hang on a switch of 0 S. Grounded nodes carry 1 A over 1 ohm each; 1 A
    // into node 2 and out of node 3 across 4 S is 0.25 V, one of the two at exactly 0 V.
    const test::Network network{4, {{0, ground_node}, {0, 1}, {1, 2}, {2, 3}}, {1, 1, 0, 4}};
    const EliminationPlan plan = plan_elimination(network.nodes, network.edges);
    Factor factor;
    eliminate(plan, network.siemens, factor);
    std::vector<double> x{0, 1, 1, -1};
    solve(plan, factor, x);
    CHECK(x[0] == 1.0);
    CHECK(x[1] == 2.0);
    CHECK(x[2] - x[3] == doctest::Approx(0.25).epsilon(1e-15));
    REQUIRE(factor.floating.size() == 1);
    CHECK(x[factor.floating[0]] == 0.0);
    CHECK(floating_section(plan, factor) == std::vector<std::int32_t>{-1, -1, 0, 0});
    CHECK(factor.cancelled.empty());

    // Closing the switch with the same plan: the sum of all amperes flows through node 0, here 1 A.
    const std::vector<double> closed{1, 1, 2, 4};
    eliminate(plan, closed, factor);
    CHECK(factor.floating.empty());
    CHECK(floating_section(plan, factor) == std::vector<std::int32_t>(4, -1));
}

TEST_CASE("floating sections are found exactly however conductances are spread") {
    // Expected: by search along conductances that are not zero (the field's own definition of floating).
    int sections_seen = 0;
    for (std::uint64_t seed = 1; seed <= 300; ++seed) {
        const auto nodes = static_cast<std::int32_t>(1 + seed % 50);
        auto network = test::any_network(nodes, static_cast<int>(nodes * (1 + seed % 3)), seed, {1e-12, 1e6});
        for (std::size_t i = 0; i < network.siemens.size(); ++i)
            if (i % 3 == 0) network.siemens[i] = 0.0;
        for (std::size_t i = 0; i < network.siemens.size(); ++i)
            if (i % 4 == 0 && network.edges[i].b == ground_node) network.siemens[i] = 0.0;
        const EliminationPlan plan = plan_elimination(nodes, network.edges);
        Factor factor;
        eliminate(plan, network.siemens, factor);
        const auto section = floating_section(plan, factor);
        const auto expected = sections_by_search(network);
        CAPTURE(seed);
        std::vector<std::int32_t> roots(factor.floating.size(), -1);
        for (std::int32_t node = 0; node < nodes; ++node) {
            REQUIRE((section[node] == -1) == (expected[node] == -1));
            if (section[node] == -1) continue;
            auto& root = roots[section[node]];
            if (root == -1) root = expected[node];
            CHECK(root == expected[node]);
        }
        std::sort(roots.begin(), roots.end());
        CHECK(std::adjacent_find(roots.begin(), roots.end()) == roots.end());
        CHECK(factor.cancelled.empty());
        sections_seen += static_cast<int>(roots.size());
    }
    MESSAGE("seeds 1 to 300, floating sections: ", sections_seen);
    CHECK(sections_seen > 300);
}

TEST_CASE("conductances of opposite sign that cancel exactly are told apart from a floating node") {
    // Expected, by hand: both nodes have 1 S to ground and −1 S between, so whichever is taken out first has
    // d = 0 with its neighbour still attached.
    Factor factor;
    const auto volts = volts_of({2, {{0, -1}, {1, -1}, {0, 1}}, {1, 1, -1}}, {1, 1}, factor);
    CHECK(factor.floating.empty());
    REQUIRE(factor.cancelled.size() == 1);
    CHECK(volts[factor.cancelled[0]] == 0.0);
}

TEST_CASE("a fuse bus with 100000 parts costs one slot a part") {
    // Expected, by hand: every part sends 1 A over 1 S to the bus, which has 2 S to ground: the bus stands at
    // 99999/2 V and each part 1 V above it; every number on the way is exact. Between two buses each part
    // costs two slots and one update.
    constexpr std::int32_t nodes = 100'000;
    test::Network bus{nodes, {{0, ground_node}}, {2.0}};
    for (std::int32_t part = 1; part < nodes; ++part) {
        bus.edges.push_back({part % 2 ? 0 : part, part % 2 ? part : 0});
        bus.siemens.push_back(1.0);
    }
    const EliminationPlan plan = plan_elimination(nodes, bus.edges);
    CHECK(plan.slots() == nodes - 1);
    CHECK(plan.target.empty());
    CHECK(plan.runs.size() == 2);
    std::vector<double> amps(nodes, 1.0);
    amps[0] = 0.0;
    const auto volts = volts_of(bus, amps);
    CHECK(volts[0] == 49'999.5);
    CHECK(std::all_of(volts.begin() + 1, volts.end(), [](double v) { return v == 50'000.5; }));

    for (std::int32_t part = 2; part < nodes; ++part) bus.edges.push_back({part, 1});
    const EliminationPlan between_buses = plan_elimination(nodes, bus.edges);
    CHECK(between_buses.slots() <= 2 * nodes);
    CHECK(between_buses.target.size() <= nodes);
}

TEST_CASE("the work on a harness grows in proportion to its nodes") {
    // Expected: slots and updates a node stay the same from 100 to 100000 nodes, counted, not timed. A tree
    // alone needs at most two slots and one update a node (leaves one and none, series nodes two and one).
    for (const std::int32_t nodes : {100, 1000, 10'000, 100'000}) {
        const auto network = test::tree_with_loops(nodes, 5);
        const EliminationPlan plan = plan_elimination(nodes, network.edges);
        CAPTURE(nodes);
        CHECK(plan.slots() <= 2 * nodes);
        CHECK(plan.target.size() <= static_cast<std::size_t>(nodes));
    }
    MESSAGE("seed 5");
}

TEST_CASE("a long series chain is taken out in few runs") {
    // Expected: rake and compress needs a number of rounds near the logarithm of the length, here 2^16; the
    // bound is three runs a round.
    constexpr std::int32_t nodes = 1 << 16;
    std::vector<Edge> chain{{0, ground_node}};
    for (std::int32_t node = 1; node < nodes; ++node) chain.push_back({node - 1, node});
    CHECK(plan_elimination(nodes, chain).runs.size() <= 3 * 16);
}

TEST_CASE("every node is one pivot and no two pivots of a run are neighbours") {
    // Expected: by the definition of a plan and of a run.
    MESSAGE("seeds 1 to 40");
    for (std::uint64_t seed = 1; seed <= 40; ++seed) {
        const auto nodes = static_cast<std::int32_t>(5 * seed);
        const auto network = test::any_network(nodes, static_cast<int>(nodes + 4 * seed), seed);
        const EliminationPlan plan = plan_elimination(nodes, network.edges);
        CAPTURE(seed);
        auto sorted = plan.node_of_pivot;
        std::sort(sorted.begin(), sorted.end());
        std::vector<std::int32_t> all(nodes);
        std::iota(all.begin(), all.end(), 0);
        CHECK(sorted == all);
        for (const PivotRun& run : plan.runs)
            for (std::int32_t slot = run.first_slot; slot < run.first_slot + run.count * run.degree; ++slot)
                REQUIRE(plan.neighbour[slot] >= run.first_pivot + run.count);
    }
}

TEST_CASE("right-hand sides solved side by side give what each gives alone") {
    // Expected: the same operations in the same order, column by column. Every width up to 19 is tried.
    MESSAGE("seed 3");
    const auto network = test::tree_with_loops(40, 3);
    const EliminationPlan plan = plan_elimination(network.nodes, network.edges);
    Factor factor;
    eliminate(plan, network.siemens, factor);
    for (int columns = 1; columns < 20; ++columns) {
        std::vector<double> together(static_cast<std::size_t>(network.nodes) * columns);
        for (int c = 0; c < columns; ++c) {
            const auto amps = test::random_amps(network.nodes, c);
            for (std::int32_t node = 0; node < network.nodes; ++node)
                together[node * columns + c] = amps[node];
        }
        solve_many(plan, factor, columns, together);
        for (int c = 0; c < columns; ++c) {
            auto alone = test::random_amps(network.nodes, c);
            solve(plan, factor, alone);
            for (std::int32_t node = 0; node < network.nodes; ++node)
                CHECK(together[node * columns + c] == doctest::Approx(alone[node]).epsilon(1e-15));
        }
    }
}

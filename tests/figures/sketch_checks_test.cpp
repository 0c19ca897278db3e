// Where wires cross and meet, and what they run through: against looking at every pair of them.
#include <algorithm>
#include <random>

#include <doctest/doctest.h>

#include "viewer/figures/sketch_checks.h"

using namespace lostvolts;

namespace {

/// Level and upright wires of a few nets, on a raster so coarse that many touch and overlap.
std::vector<SketchLine> random_wires(std::mt19937& random) {
    std::uniform_int_distribution<int> place(0, 12), net(0, 3), count(1, 40), coin(0, 1);
    std::vector<SketchLine> lines;
    for (int k = count(random); k > 0; --k) {
        const double a = 20 * place(random), b = 20 * place(random), where = 20 * place(random);
        if (a == b) continue;
        SketchLine l{{a, where}, {b, where}, net(random), none};
        if (coin(random) == 1) l = {{where, a}, {where, b}, l.net, none};
        lines.push_back(l);
    }
    return lines;
}

bool between(double v, double a, double b) { return v > std::min(a, b) && v < std::max(a, b); }

/// Tries 2000 drawings and sums what they give.
template <class Try> std::size_t over_random_wires(unsigned seed, Try&& found_in) {
    MESSAGE("seed " << seed);
    std::mt19937 random(seed);
    std::size_t found = 0;
    for (int k = 0; k < 2000; ++k) found += found_in(random_wires(random));
    return found;
}

std::vector<std::pair<double, double>> in_order(const std::vector<Position>& all) {
    std::vector<std::pair<double, double>> places;
    for (const Position p : all) places.emplace_back(p.x, p.y);
    std::sort(places.begin(), places.end());
    return places;
}

} // namespace

TEST_CASE("crossings are those that looking at every pair of wires finds") {
    // Expected: every upright wire against every level one, by definition.
    const std::size_t found = over_random_wires(20261, [](const std::vector<SketchLine>& lines) {
        std::vector<Position> expected;
        for (const SketchLine& v : lines)
            for (const SketchLine& h : lines)
                if (v.a.x == v.b.x && h.a.y == h.b.y && v.net != h.net && between(v.a.x, h.a.x, h.b.x) &&
                    between(h.a.y, v.a.y, v.b.y))
                    expected.push_back({v.a.x, h.a.y});
        const std::vector<Position> crossings = crossings_of(lines);
        REQUIRE(in_order(crossings) == in_order(expected));
        CHECK(std::is_sorted(crossings.begin(), crossings.end(),
                             [](Position a, Position b) { return a.x < b.x; }));
        return expected.size();
    });
    CHECK(found > 10'000);
}

TEST_CASE("joints are where three or more ways of one net meet at an end") {
    // Expected: at each end, whether a wire of the net goes on to the left, right, up and down, by
    // definition.
    const std::size_t found = over_random_wires(20262, [](const std::vector<SketchLine>& lines) {
        std::vector<std::pair<double, double>> expected;
        for (const SketchLine& l : lines)
            for (const Position p : {l.a, l.b}) {
                int ways = 0;
                for (const Position step : {Position{-1, 0}, {1, 0}, {0, -1}, {0, 1}})
                    ways += std::any_of(lines.begin(), lines.end(), [&](const SketchLine& m) {
                        const auto x = p.x + step.x, y = p.y + step.y;
                        return m.net == l.net &&
                               (step.x != 0 ? m.a.y == y && m.b.y == y && between(x, m.a.x, m.b.x)
                                            : m.a.x == x && m.b.x == x && between(y, m.a.y, m.b.y));
                    });
                if (ways >= 3) expected.emplace_back(p.x, p.y);
            }
        std::sort(expected.begin(), expected.end());
        expected.erase(std::unique(expected.begin(), expected.end()), expected.end());
        REQUIRE(in_order(joints_of(lines)) == expected);
        return expected.size();
    });
    CHECK(found > 1000);
}

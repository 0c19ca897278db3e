#include "viewer/figures/axis.h"

#include <cmath>

#include <doctest/doctest.h>

#include "viewer/figures/type.h"

using namespace lostvolts;

namespace {
std::vector<std::string> texts(const Axis& axis, int wanted) {
    std::vector<std::string> result;
    for (const Tick& t : ticks(axis, wanted)) result.push_back(t.text);
    return result;
}
} // namespace

TEST_CASE("ticks stand at ones and twos and fives") {
    // Expected, by hand.
    CHECK(texts({"", "", 0, 12.6}, 6) == std::vector<std::string>{"0", "2", "4", "6", "8", "10", "12"});
    CHECK(texts({"", "", -0.5, 1}, 3) == std::vector<std::string>{"−0.5", "0.0", "0.5", "1.0"});
    CHECK(texts({"", "", 0, 0.1}, 5) ==
          std::vector<std::string>{"0.00", "0.02", "0.04", "0.06", "0.08", "0.10"});
}

TEST_CASE("an axis of small currents is told in milliamperes") {
    // Expected, by hand: the prefix of the largest value; its title says so.
    const Axis axis{"current", "A", 0, 0.05};
    CHECK(axis.title() == "current, mA");
    CHECK(texts(axis, 5) == std::vector<std::string>{"0", "10", "20", "30", "40", "50"});
    CHECK(Axis{"speed", "rpm", 0, 3400}.title() == "speed, rpm");
}

TEST_CASE("a logarithmic axis has a tick at each whole number of each decade and words at the tens") {
    // Expected, by hand: 1 … 10 and 20 … 100.
    const auto all = ticks({"", "", 1, 100, true}, 4);
    CHECK(all.size() == 19);
    std::vector<std::string> told;
    for (const Tick& t : all)
        if (!t.text.empty()) told.push_back(t.text);
    CHECK(told == std::vector<std::string>{"1", "10", "100"});
    const Frame frame{{0, 0}, {100, 100}, {"", "", 1, 100, true}, {"", "", 0, 1}};
    CHECK(frame.x_at(10) == doctest::Approx(50));
}

TEST_CASE("axes without a span are given one and hopeless ones have no ticks") {
    // Expected: a flat trace is still drawn; NaN and an empty range draw nothing.
    const Axis flat = rounded_out({"", "", 5, 5}, 5);
    CHECK(flat.low < 5);
    CHECK(flat.high > 5);
    CHECK(ticks({"", "", 1, 1}, 5).empty());
    CHECK(ticks({"", "", 0, std::nan("")}, 5).empty());
    CHECK(ticks({"", "", 0, 10, true}, 5).empty());
}

TEST_CASE("a curve of a million samples keeps its peaks in a few thousand points") {
    // Expected: one sample of 1e6 stands out; thinning by columns of half a point keeps it.
    std::vector<double> x, y;
    for (int k = 0; k < 1'000'000; ++k) {
        x.push_back(k);
        y.push_back(k == 654'321 ? 9 : 0.01 * (k % 7));
    }
    const Frame frame{{0, 0}, {800, 200}, {"", "", 0, 1e6}, {"", "", 0, 10}};
    Figure figure;
    draw_curve(figure, frame, x, y, Ink::measured);
    REQUIRE(figure.shapes.size() == 1);
    const auto& path = std::get<Stroke>(figure.shapes[0]).path;
    CHECK(path.size() < 6000);
    double highest = 1e9;
    for (const Position p : path) highest = std::min(highest, p.y);
    CHECK(highest == doctest::Approx(frame.y_at(9)));
}

TEST_CASE("a curve breaks where a value is no number") {
    // Expected, by hand: two pieces.
    const Frame frame{{0, 0}, {100, 100}, {"", "", 0, 5}, {"", "", 0, 5}};
    Figure figure;
    draw_curve(figure, frame, {0, 1, 2, 3, 4}, {1, 1, std::nan(""), 2, 2}, Ink::measured);
    CHECK(figure.shapes.size() == 2);
}

TEST_CASE("words are cut and wrapped to their room") {
    // Expected: no line wider than asked; the cut is told by an ellipsis.
    CHECK(fitted("pump", 100, 10) == "pump");
    const std::string cut = fitted("tank connector, feed pin", 60, 10);
    CHECK(cut.ends_with("…"));
    CHECK(text_width(cut, 10) <= 60);
    CHECK(in_lines("tank connector, feed pin", 80, 9, 2) ==
          std::vector<std::string>{"tank connector,", "feed pin"});
    for (const std::string& line : in_lines("averyveryverylongnamewithoutanyblank", 40, 9, 3))
        CHECK(text_width(line, 9) <= 40);
    CHECK(in_lines("", 40, 9, 3).empty());
    // As even as that goes with no word broken: narrower than "ground" would break it.
    CHECK(in_even_lines("ground wire", 40, 9, 2) == std::vector<std::string>{"ground", "wire"});
    CHECK(hold_whole_words({"ground", "wire"}, "ground wire"));
    CHECK_FALSE(hold_whole_words({"groun", "d wire"}, "ground wire"));
    CHECK_FALSE(hold_whole_words({"ground", "wi…"}, "ground wire"));
}

#include "viewer/command/table.h"

#include <doctest/doctest.h>

#include <sstream>

#include "viewer/command/style.h"

using namespace lostvolts;

namespace {

Table parts() {
    Table t;
    t.columns = {
        {"part", false, true, 0}, {"kind", false, false, 2}, {"drop", true, false, 0}, {"", false, true, 0}};
    t.add({"feed", "wire", "0.025 V", ""});
    t.add({"pump ground under the deck", "ground", "1.620 V", "over"});
    return t;
}

} // namespace

TEST_CASE("columns line up and numbers stand to the right") {
    // Expected, by hand.
    CHECK(finish(draw(parts(), 80), false) == "  part                        kind       drop\n"
                                              "  feed                        wire    0.025 V\n"
                                              "  pump ground under the deck  ground  1.620 V  over\n");
}

TEST_CASE("text wraps before a column is left out") {
    // Expected, by hand: 38 columns less 2 of indent, 6 + 7 + 4 of the other columns and 6 of gaps leave 13.
    CHECK(finish(draw(parts(), 38), false) == "  part           kind       drop\n"
                                              "  feed           wire    0.025 V\n"
                                              "  pump ground    ground  1.620 V  over\n"
                                              "  under the\n"
                                              "  deck\n");
}

TEST_CASE("a column that has no room is named at the end") {
    // Expected, by hand: "part" shrinks to its least, 12, and 2 + 12 + 6 + 7 + 4 + 6 is 37.
    CHECK(finish(draw(parts(), 36), false) == "  part                    drop\n"
                                              "  feed                 0.025 V\n"
                                              "  pump ground under    1.620 V  over\n"
                                              "  the deck\n"
                                              "  (no room for: kind)\n");
}

TEST_CASE("no line is longer than the screen down to ten columns") {
    // Expected: the promise in table.h.
    for (int columns = 80; columns >= 14; --columns) {
        std::istringstream lines(finish(draw(parts(), columns), false));
        for (std::string line; std::getline(lines, line);) {
            CAPTURE(columns);
            CAPTURE(line);
            CHECK((width_of(line) <= columns ||
                   columns < 26)); // numbers and "over" need 2 + 12 + 7 + 4 + 4 - 3
        }
    }
}

TEST_CASE("a table without rows is nothing and an empty column is not shown") {
    // Expected, by hand.
    Table t;
    t.columns = {{"a", false, false, 0}, {"b", false, false, 0}};
    CHECK(draw(t, 40).empty());
    t.add({"1"});
    CHECK(finish(draw(t, 40), false) == "  a\n  1\n");
}

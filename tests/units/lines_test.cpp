#include <doctest/doctest.h>

#include "solver/units/lines.h"

using namespace lostvolts;

TEST_CASE("a text is taken line by line, whatever ends them") {
    // Expected, by hand.
    std::string_view text = "one\r\n\ntwo";
    CHECK(take_line(text) == "one");
    CHECK(take_line(text) == "");
    CHECK(take_line(text) == "two");
    CHECK(text.empty());
    CHECK(take_line(text) == "");
}

TEST_CASE("blanks at the ends of a text go, those within stay") {
    // Expected, by hand.
    CHECK(trimmed(" \t12 V\r") == "12 V");
    CHECK(trimmed(" \t \r").empty());
    CHECK(trimmed("").empty());
    CHECK(trimmed("\"12 V\" ", " \"") == "12 V");
    CHECK(trimmed("12 V\r", " ") == "12 V\r");
}

TEST_CASE("words are what stands between blanks of any sort and number") {
    // Expected, by hand.
    CHECK(split_words(" 11.9  V,\tbattery +\r") ==
          std::vector<std::string_view>{"11.9", "V,", "battery", "+"});
    CHECK(split_words(" \t").empty());
}

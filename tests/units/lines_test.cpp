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

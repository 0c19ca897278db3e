#include <doctest/doctest.h>

#include "solver/locate/written_value.h"

using namespace lostvolts;

TEST_CASE("the unit or the word of a value tells what was measured") {
    // Expected: the words' plain meaning.
    CHECK(quantity_of_value("6.1 A") == Measurand::current);
    CHECK(quantity_of_value("250 mV") == Measurand::voltage);
    CHECK(quantity_of_value("2950 rpm") == Measurand::speed);
    CHECK(quantity_of_value("0.8 ohm") == Measurand::resistance);
    CHECK(quantity_of_value("open") == Measurand::resistance);
    CHECK(quantity_of_value("dim") == Measurand::lamp);
    CHECK(quantity_of_value("clicks") == Measurand::sound);
    CHECK_FALSE(quantity_of_value("6.1"));
    CHECK_FALSE(quantity_of_value("battery"));
    CHECK_FALSE(quantity_of_value(""));
}

TEST_CASE("a value that a file may not have is told why") {
    CHECK_FALSE(value_error(Measurand::resistance, "open"));
    CHECK_FALSE(value_error(Measurand::lamp, "dark"));
    REQUIRE(value_error(Measurand::lamp, "glows"));
    CHECK(value_error(Measurand::lamp, "glows")->what == "is not a word for a lamp");
    CHECK(value_error(Measurand::lamp, "glows")->write == "one of lit, dim, dark, reversed");
    CHECK(value_error(Measurand::voltage, "6.1 A"));
    CHECK(value_error(Measurand::voltage, "open"));
}

#include <doctest/doctest.h>

#include "solver/units/gauge.h"
#include "solver/units/text.h"

using namespace lostvolts;

namespace {

WireSize size(const char* text) {
    const Parsed<WireSize> parsed = read_wire_size(text);
    INFO(text);
    REQUIRE(std::holds_alternative<WireSize>(parsed));
    return std::get<WireSize>(parsed);
}

Accuracy accuracy(const char* text) {
    const Parsed<Accuracy> parsed = read_accuracy(text);
    INFO(text);
    REQUIRE(std::holds_alternative<Accuracy>(parsed));
    return std::get<Accuracy>(parsed);
}

} // namespace

TEST_CASE("a gauge is read in every usual spelling") {
    // Expected: ASTM B258's names; 0 is 1/0, 00 is 2/0 and so on.
    for (const char* text : {"14 AWG", "14AWG", "AWG 14", "AWG14", "14 awg", " 14  AWG "})
        CHECK(size(text).gauge == 14);
    for (const char* text : {"0 AWG", "1/0 AWG", "AWG 0", "AWG 1/0"}) CHECK(size(text).gauge == 0);
    for (const char* text : {"2/0 AWG", "00 AWG", "AWG 2/0"}) CHECK(size(text).gauge == -1);
    for (const char* text : {"3/0 AWG", "000 AWG"}) CHECK(size(text).gauge == -2);
    for (const char* text : {"4/0 AWG", "0000 AWG"}) CHECK(size(text).gauge == -3);
    CHECK(size("40 AWG").gauge == 40);
    CHECK(si(size("14 AWG").area) == si(gauge_area(14)));
}

TEST_CASE("an area is a wire size without a gauge") {
    // Expected, by hand.
    CHECK(si(size("2.5 mm2").area) == 2.5e-6);
    CHECK(si(size("10 mm²").area) == 10e-6);
    CHECK_FALSE(size("2.5 mm2").gauge);
    CHECK(si(size("10380 cmil").area) == doctest::Approx(5.2596e-6).epsilon(1e-5)); // GNU units, computed
}

TEST_CASE("every gauge and every area is written as it reads back") {
    // Expected: identity for the gauges from 4/0 to 40, and by hand for the spelling.
    for (int gauge = smallest_gauge_number; gauge <= largest_gauge_number; ++gauge)
        CHECK(size(write_wire_size({gauge_area(gauge), gauge}).c_str()).gauge == gauge);
    CHECK(write_wire_size(size("14 AWG")) == "14 AWG");
    CHECK(write_wire_size(size("0 AWG")) == "1/0 AWG");
    CHECK(write_wire_size(size("0000 AWG")) == "4/0 AWG");
    CHECK(write_wire_size(size("2.5 mm²")) == "2.5 mm2");
    CHECK(write_wire_size(size("120 mm2")) == "120 mm2");
}

TEST_CASE("a meter's accuracy has a share, counts or both") {
    // Expected: the examples of text.h, and how data sheets write it (common practice).
    for (const char* text : {"0.5 % + 2 counts", "0.5%+2", "0.5 % + 2", "±(0.5 % + 2 digits)",
                             "± 0.5 % + 2 dgt", "+/- 0.5 % + 2", "2 counts + 0.5 %"}) {
        CHECK(accuracy(text).share == 0.005);
        CHECK(accuracy(text).counts == 2);
    }
    CHECK(accuracy("1.5 %").share == 0.015);
    CHECK(accuracy("1.5 %").counts == 0);
    CHECK(accuracy("2 counts").share == 0);
    CHECK(accuracy("1 count").counts == 1);
}

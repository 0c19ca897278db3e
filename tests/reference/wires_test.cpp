// Wire as a circuit file tells it (size, length, temperature), against the published tables and GNU units
// live.
#include <doctest/doctest.h>

#include <fmt/format.h>

#include "tests/reference/example.h"
#include "tests/units/gnu_units.h"

using namespace lostvolts;
using namespace lostvolts::reference_tests;

namespace {

/// Drop over current of a wire of this size in a circuit that is read and solved.
double ohms_of(const std::string& size, const std::string& length, const std::string& temperature,
               const std::string& more = "") {
    const Solved s = solved(supply("12 V") +
                            part("wire", "wire", "+", "load",
                                 fmt::format("size = \"{}\"\nlength = \"{}\"\ntemperature = \"{}\"\n{}", size,
                                             length, temperature, more)) +
                            resistor("load", "load", "0", "1.2 ohm"));
    const PartResult& wire = s.part("wire");
    REQUIRE(wire.resistance);
    return si(*wire.resistance);
}

} // namespace

TEST_CASE("gauges by the foot have the resistance that GNU units works out, warm and cold") {
    // Computed live with GNU units: length over copperconductivity (IEC 60028) times circlearea of half the
    // wiregauge (ASTM B258), times 1 + 0.00393 (T − 20 °C) (IEC 60028, from memory). Tolerance: 1e-12, the
    // rounding of a 50 mV drop taken from 12 V.
    if (!gnu_units::present()) {
        MESSAGE("GNU units is not on the PATH: nothing is checked here");
        return;
    }
    struct Row {
        const char *size, *gauge; ///< for GNU units 1/0 is 0 and 4/0 is −3
        const char* length;
        const char* length_for_units;
        int degrees;
    };
    for (const Row& row :
         {Row{"22 AWG", "22", "3 ft", "3 ft", 20}, Row{"18 AWG", "18", "11 ft", "11 ft", 25},
          Row{"14 AWG", "14", "42 in", "42 in", 60}, Row{"12 AWG", "12", "6.4 m", "6.4 m", 85},
          Row{"10 AWG", "10", "30 ft", "30 ft", 20}, Row{"6 AWG", "6", "7 yd", "7 yd", -18},
          Row{"2 AWG", "2", "180 cm", "180 cm", 105}, Row{"1/0 AWG", "0", "9 ft", "9 ft", 40},
          Row{"4/0 AWG", "-3", "20 ft", "20 ft", -40}}) {
        INFO(row.size << ", " << row.length << ", " << row.degrees << " °C");
        const auto theirs = gnu_units::convert(
            fmt::format("{} (1 + 0.00393*({}-20)) / (copperconductivity circlearea(wiregauge({})/2))",
                        row.length_for_units, row.degrees, row.gauge),
            "ohm");
        REQUIRE(theirs);
        CHECK(ohms_of(row.size, row.length, fmt::format("{} degC", row.degrees)) ==
              doctest::Approx(*theirs).epsilon(1e-12));
    }
}

TEST_CASE("a metre of each metric size drops what IEC 60228 class 5 says") {
    // [IEC228] table of class 5, plain copper at 20 °C, mohm/m, read at three makers' pages. Tolerance:
    // 1e-11, the rounding of a millivolt's drop from 12 V.
    const std::pair<const char*, double> rows[] = {
        {"0.5 mm2", 39.0}, {"0.75 mm2", 26.0}, {"1 mm2", 19.5},   {"1.5 mm2", 13.3}, {"2.5 mm2", 7.98},
        {"4 mm2", 4.95},   {"6 mm2", 3.30},    {"10 mm2", 1.91},  {"16 mm2", 1.21},  {"25 mm2", 0.780},
        {"35 mm2", 0.554}, {"50 mm2", 0.386},  {"70 mm2", 0.272}, {"95 mm2", 0.206}, {"120 mm2", 0.161}};
    for (const auto& row : rows) { // clang 14 can't hand a structured binding to INFO
        const auto [size, milliohms] = row;
        INFO(row.first);
        CHECK(ohms_of(size, "1 m", "20 degC") == doctest::Approx(milliohms / 1000).epsilon(1e-11));
    }
}

TEST_CASE("ten amperes along 6.4 m of 2.5 square millimetres lose half a volt, and more when warm") {
    // [IEC228] 7.98 mohm/m, read; 0.511 V at 20 °C and 0.621 V at 75 °C (computed). Tolerance: the digits
    // printed.
    CHECK(std::abs(10 * ohms_of("2.5 mm2", "6.4 m", "20 degC") - 0.511) <= 0.0005);
    CHECK(std::abs(10 * ohms_of("2.5 mm2", "6.4 m", "75 degC") - 0.621) <= 0.0005);
}

TEST_CASE("a thousand feet at 75 degrees is NEC's solid wire, and two percent below its stranded") {
    // [NEC8] chapter 9 table 8, ohm per 1000 ft (from memory; the solid column follows from IACS copper).
    // Tolerance: the digits printed; strands add 2 % of lay and the table's rounding 0.6 %.
    struct Row {
        const char* size;
        double solid, stranded;
        int digits;
    };
    for (const Row& row :
         {Row{"18 AWG", 7.77, 7.95, 2}, Row{"16 AWG", 4.89, 4.99, 2}, Row{"14 AWG", 3.07, 3.14, 2},
          Row{"12 AWG", 1.93, 1.98, 2}, Row{"10 AWG", 1.21, 1.24, 2}, Row{"8 AWG", 0.764, 0.778, 3}}) {
        INFO(row.size);
        const double ours = ohms_of(row.size, "1000 ft", "75 degC");
        CHECK(std::abs(ours - row.solid) <= std::pow(10.0, -row.digits)); // the table rounds up or down
        CHECK(row.stranded / ours == doctest::Approx(1.02).epsilon(0.006));
    }
}

TEST_CASE("the marine circular-mil rule picks the gauge that keeps its drop") {
    // [ABYC] E-11, CM = 10.75·I·L/E (from memory): 10 A, 30 ft out and back, 3 % of 12 V: 8958 CM, so 10 AWG
    // and not 12. K is copper at 29.3 °C (computed), where the two wires are taken.
    CHECK(ohms_of("10 AWG", "30 ft", "29.3 degC") * 10 < 0.36);
    CHECK(ohms_of("12 AWG", "30 ft", "29.3 degC") * 10 > 0.36);
    // The rule's own volts for 10 AWG's 10383 CM [B258]. Tolerance: 29.3 °C and K are rounded to 0.1 %.
    CHECK(ohms_of("10 AWG", "30 ft", "29.3 degC") * 10 ==
          doctest::Approx(10.75 * 10 * 30 / 10383).epsilon(1e-3));
}

TEST_CASE("wire takes the circuit's temperature unless it has its own") {
    // By [IEC28] 0.00393/K: 60 °C against 20 °C is 15.72 % more.
    const auto ohms = [](const char* surroundings) {
        const auto read = read_circuit_text(
            fmt::format("ground = \"0\"\ntemperature = \"{}\"\nformat = 1\n", surroundings) + supply("12 V") +
                part("w", "wire", "+", "n", "size = \"6 mm2\"\nlength = \"5 m\"") +
                resistor("r", "n", "0", "1 ohm"),
            "example.toml");
        REQUIRE(read);
        return si(std::get<Wire<>>(read->parts[1].law).resistance);
    };
    CHECK(ohms("60 degC") / ohms("20 degC") == doctest::Approx(1.1572).epsilon(1e-12));
    CHECK(ohms("20 degC") == doctest::Approx(5 * 3.30e-3).epsilon(1e-12)); // [IEC228]
}

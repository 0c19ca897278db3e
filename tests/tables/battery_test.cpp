#include <doctest/doctest.h>

#include <initializer_list>
#include <utility>

#include "solver/reference/tables.h"

using namespace lostvolts;

namespace {

double rest(double charge, double degrees = 26.7, int cells = 6) {
    return si(lead_acid_rest_voltage(charge, celsius(degrees), cells));
}

} // namespace

TEST_CASE("a rested battery has its table's voltage at 26.7 degrees") {
    // Expected: a battery maker's table, specific gravity 1.265 … 1.120 (read). Tolerance: rounding.
    for (const auto& [charge, volts] :
         {std::pair{1.0, 12.65}, {0.75, 12.45}, {0.5, 12.24}, {0.25, 12.06}, {0.0, 11.89}}) {
        CHECK(rest(charge) == doctest::Approx(volts).epsilon(1e-14));
        CHECK(rest(charge, 26.7, 12) == doctest::Approx(2 * volts).epsilon(1e-14));
    }
}

TEST_CASE("at 25 degrees a rested battery agrees with the handbook to 5 millivolts") {
    // Expected: battery council handbook, 25 °C: 12.65, 12.45, 12.24, 12.06, 11.89 V (from memory). 5 mV is
    // half its digit.
    for (const auto& [charge, volts] :
         {std::pair{1.0, 12.65}, {0.75, 12.45}, {0.5, 12.24}, {0.25, 12.06}, {0.0, 11.89}})
        CHECK(rest(charge, 25) == doctest::Approx(volts).epsilon(0.005 / volts));
}

TEST_CASE("charge between the table's rows is interpolated and outside 0 to 1 held") {
    // Expected, by hand: 85 % is 40 % of the way from 12.45 to 12.65 V.
    CHECK(rest(0.85) == doctest::Approx(12.53).epsilon(1e-14));
    CHECK(rest(1.2) == rest(1));
    CHECK(rest(-1) == rest(0));
    for (double charge = 0; charge < 1; charge += 0.01) CHECK(rest(charge + 0.01) > rest(charge));
}

TEST_CASE("the table follows the rule that a cell has its acid's gravity plus 0.84 to 0.85 volts") {
    // Expected: textbook rule (from memory), within 30 mV for 6 cells over the table's gravities (read).
    for (const auto& [charge, gravity] :
         {std::pair{1.0, 1.265}, {0.75, 1.225}, {0.5, 1.190}, {0.25, 1.155}, {0.0, 1.120}})
        CHECK(rest(charge) == doctest::Approx(6 * (gravity + 0.845)).epsilon(0.1 / 12));
}

TEST_CASE("a cold battery rests a little lower than a warm one") {
    // Expected: 0.2 mV/K per cell (from memory, battery.cpp): 44.7 K below the table is 53.6 mV for 6 cells.
    CHECK(rest(1) - rest(1, -18) == doctest::Approx(0.05364).epsilon(1e-10));
    CHECK(rest(1, 60) > rest(1));
    CHECK(rest(1) - rest(1, -18, 12) == doctest::Approx(rest(1) - 2 * rest(1, -18)).epsilon(1e-14));
}

TEST_CASE("cold-cranking amps give the resistance between full charge and 7.2 volts") {
    // Expected, by hand: (12.65 − 0.05364 − 7.2) V / 600 A = 8.994 mohm; 12 cells in series have twice that.
    const auto amps = from_si<Current<>>(600);
    CHECK(si(cold_cranking_resistance(amps, 6)) == doctest::Approx(5.39636 / 600).epsilon(1e-12));
    CHECK(si(cold_cranking_resistance(amps, 12)) == doctest::Approx(2 * 5.39636 / 600).epsilon(1e-12));
    // At its cold-cranking amps the battery then stands at the test's end voltage, SAE J537.
    CHECK(rest(1, -18) - 600 * si(cold_cranking_resistance(amps, 6)) == doctest::Approx(7.2).epsilon(1e-14));
}

TEST_CASE("usual limits of voltage drop are the trade's") {
    // Expected: technicians' guidance and a workshop manual (read), whole circuit from memory: common
    // practice.
    const DropLimits limits = usual_drop_limits();
    CHECK(si(limits.connection) == 0.1);
    CHECK(si(limits.wire) == 0.2);
    CHECK(si(limits.contact) == 0.3);
    CHECK(si(limits.ground_path) == 0.1);
    CHECK(si(limits.whole_loop) == 0.5);
    CHECK(limits.source == "common practice, no standard");
    // The fuse's is ours: a sound one from 5 A up stays below it at its full rating.
    for (const double rating : blade_fuse_ratings_amps())
        if (rating >= 5) CHECK(blade_fuse(from_si<Current<>>(rating)).drop_at_rating < limits.fuse);
}

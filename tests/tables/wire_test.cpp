#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "solver/reference/tables.h"
#include "tests/units/gnu_units.h"

using namespace lostvolts;

namespace {

const Metal& metal(const char* name) {
    const Metal* found = find_metal(name);
    REQUIRE(found);
    return *found;
}

WireSize gauge(int n) { return {gauge_area(n), n}; }
WireSize metric(double mm2) { return {from_si<Area<>>(mm2 * 1e-6), std::nullopt}; }

double ohm_per_km(const WireSize& size, const char* name = "copper") {
    return si(conductor_resistance(size, metal(name)).at_20_degC) * 1000;
}

/// R(T)/R(20 °C) by the metal's coefficient, as Metal defines it.
double ratio_at(const char* name, double degrees) { return 1 + si(metal(name).coefficient) * (degrees - 20); }

constexpr double metres_per_kft = 304.8;

} // namespace

TEST_CASE("gauge diameters are 0.46 inch at 4/0 and 0.005 inch at 36") {
    // Expected: ASTM B258 fixes both (read, as GNU units carries the formula). Tolerance: rounding of the
    // power.
    CHECK(si(gauge_diameter(-3)) == doctest::Approx(0.46 * 0.0254).epsilon(1e-15));
    CHECK(si(gauge_diameter(36)) == doctest::Approx(0.005 * 0.0254).epsilon(1e-15));
    CHECK(si(gauge_diameter(-3)) / si(gauge_diameter(36)) == doctest::Approx(92).epsilon(1e-15));
}

TEST_CASE("gauge diameters and areas are those published to their digits") {
    // Expected: ASTM B258 in mm and mm2, computed with GNU units 2.22. Tolerance: the digits printed.
    CHECK(si(gauge_diameter(24)) * 1e3 == doctest::Approx(0.51056).epsilon(1e-5));
    CHECK(si(gauge_diameter(10)) * 1e3 == doctest::Approx(2.58819).epsilon(1e-5));
    CHECK(si(gauge_diameter(0)) * 1e3 == doctest::Approx(8.25146).epsilon(1e-6));
    CHECK(si(gauge_diameter(-1)) * 1e3 == doctest::Approx(9.26583).epsilon(1e-6));
    CHECK(si(gauge_diameter(-2)) * 1e3 == doctest::Approx(10.40490).epsilon(1e-6));
    CHECK(si(gauge_area(18)) * 1e6 == doctest::Approx(0.82304683).epsilon(1e-8));
    CHECK(si(gauge_area(14)) * 1e6 == doctest::Approx(2.0809077).epsilon(2e-8));
    CHECK(si(gauge_area(10)) * 1e6 == doctest::Approx(5.261155).epsilon(1e-7));
    CHECK(si(gauge_area(6)) * 1e6 == doctest::Approx(13.301768).epsilon(4e-8));
    CHECK(si(gauge_area(-3)) * 1e6 == doctest::Approx(107.21930).epsilon(1e-7));
}

TEST_CASE("solid copper gauges have the resistance that GNU units computes") {
    // Expected: 1/(copperconductivity circlearea(wiregauge(n)/2)) in ohm/km, GNU units 2.22, live and pinned.
    // Tolerance: half a unit of the last pinned digit; 5e-15 live.
    struct Row {
        int gauge;
        const char* name; // for GNU units: 2/0 is -1
        double pinned;
    };
    const Row rows[] = {{22, "22", 52.963385}, {20, "20", 33.309},    {18, "18", 20.948236},
                        {16, "16", 13.174475}, {14, "14", 8.2855089}, {12, "12", 5.2108077},
                        {10, "10", 3.2771092}, {8, "8", 2.0609942},   {6, "6", 1.296172},
                        {4, "4", 0.81517059},  {2, "2", 0.51266583},  {0, "0", 0.32241871},
                        {-1, "-1", 0.25569},   {-3, "-3", 0.16080}};
    const bool live = gnu_units::present();
    if (!live) MESSAGE("GNU units is not on the PATH: only its pinned values are checked");
    for (const Row& row : rows) {
        INFO(row.name << " AWG");
        CHECK(ohm_per_km(gauge(row.gauge)) ==
              doctest::Approx(row.pinned).epsilon(row.gauge < 0 ? 3e-5 : 5e-8));
        CHECK_FALSE(conductor_resistance(gauge(row.gauge), metal("copper")).from_table);
        if (!live) continue;
        const auto theirs = gnu_units::convert(
            "1/(copperconductivity circlearea(wiregauge(" + std::string(row.name) + ")/2))", "ohm/km");
        REQUIRE(theirs);
        CHECK(ohm_per_km(gauge(row.gauge)) == doctest::Approx(*theirs).epsilon(1e-14));
    }
}

TEST_CASE("solid gauges at 75 degrees are those of NEC chapter 9 table 8") {
    // Expected: NFPA 70 chapter 9 table 8, solid uncoated copper, ohm per 1000 ft (from memory; checked
    // against IACS). Tolerance: half a unit of the third digit printed, where the table's own rounding ends.
    const std::pair<int, double> rows[] = {{18, 7.77}, {16, 4.89}, {14, 3.07},
                                           {12, 1.93}, {10, 1.21}, {8, 0.764}};
    for (const auto& row : rows) {
        const auto [n, printed] = row;
        INFO(row.first << " AWG");
        const double ours = ohm_per_km(gauge(n)) / 1000 * metres_per_kft * ratio_at("copper", 75);
        CHECK(std::abs(ours - printed) <= (printed < 1 ? 0.001 : 0.01));
    }
}

TEST_CASE("stranded gauges of NEC chapter 9 table 8 are two percent above solid ones") {
    // Expected: the same table's stranded column (from memory). 2 % is the lay of the strands; 0.6 % covers
    // its rounding.
    const std::pair<int, double> rows[] = {{18, 7.95}, {16, 4.99}, {14, 3.14}, {12, 1.98}, {10, 1.24},
                                           {8, 0.778}, {6, 0.491}, {4, 0.308}, {2, 0.194}, {0, 0.122}};
    for (const auto& row : rows) {
        const auto [n, printed] = row;
        INFO(row.first << " AWG");
        const double ours = ohm_per_km(gauge(n)) / 1000 * metres_per_kft * ratio_at("copper", 75);
        CHECK(printed / ours == doctest::Approx(1.02).epsilon(0.006));
    }
}

TEST_CASE("flexible metric conductors are those of IEC 60228 class 5") {
    // Expected: IEC 60228:2004, plain copper, ohm/km at 20 °C (read). Equality: these are the table itself.
    const std::pair<double, double> rows[] = {{0.5, 39.0}, {0.75, 26.0}, {1, 19.5},   {1.5, 13.3},
                                              {2.5, 7.98}, {4, 4.95},    {6, 3.30},   {10, 1.91},
                                              {16, 1.21},  {25, 0.780},  {35, 0.554}, {50, 0.386},
                                              {70, 0.272}, {95, 0.206},  {120, 0.161}};
    REQUIRE(metric_sizes_mm2().size() == std::size(rows));
    for (std::size_t k = 0; k < std::size(rows); ++k) {
        INFO(rows[k].first << " mm2");
        CHECK(metric_sizes_mm2()[k] == rows[k].first);
        CHECK(ohm_per_km(metric(rows[k].first)) == doctest::Approx(rows[k].second).epsilon(1e-15));
        CHECK(conductor_resistance(metric(rows[k].first), metal("copper")).from_table);
        CHECK(conductor_resistance(metric(rows[k].first), metal("copper")).source ==
              "IEC 60228 class 5, plain copper");
    }
    CHECK(ohm_per_km(std::get<WireSize>(read_wire_size("2.5 mm2"))) == doctest::Approx(7.98).epsilon(1e-15));
}

TEST_CASE("every row of the flexible table lies a little above its area of solid copper") {
    // Expected: strand lay, drawing and area tolerance cost 0 to 15 % over rho/A (by comparison with IEC
    // 60028).
    for (const double mm2 : metric_sizes_mm2()) {
        INFO(mm2 << " mm2");
        const double over = ohm_per_km(metric(mm2)) / (1e3 / (58 * mm2));
        CHECK(over > 1.0);
        CHECK(over < 1.16);
    }
}

TEST_CASE("a metric area that the table doesn't list is its area of solid metal") {
    // Expected, by hand: 1/(58 S m/mm2 × 0.35 mm2) = 49.261 ohm/km. ISO 6722-1 allows 54.4 (from memory), 10
    // % more.
    CHECK(ohm_per_km(metric(0.35)) == doctest::Approx(1000 / (58 * 0.35)).epsilon(1e-14));
    CHECK_FALSE(conductor_resistance(metric(0.35), metal("copper")).from_table);
    CHECK(54.4 / ohm_per_km(metric(0.35)) < 1.11);
}

TEST_CASE("aluminium and steel wires are their area of solid metal") {
    // Expected, by hand: 28.264/10 and 138/10 ohm/km for 10 mm2; resistivities of IEC 60889 and IEC 60949
    // (memory).
    CHECK(ohm_per_km(metric(10), "aluminium") == doctest::Approx(2.8264).epsilon(1e-14));
    CHECK(ohm_per_km(metric(10), "steel") == doctest::Approx(13.8).epsilon(1e-14));
    CHECK(ohm_per_km(gauge(10), "aluminium") / ohm_per_km(gauge(10)) ==
          doctest::Approx(28.264 * 0.058).epsilon(1e-14));
}

TEST_CASE("copper rises by 21.6 percent from 20 to 75 degrees") {
    // Expected: 1 + 0.00393·55 = 1.21615 (IEC 60028, memory); and 309.5/254.5 = 1.21611 by IEC 60949's 234.5
    // rule.
    CHECK(ratio_at("copper", 75) == doctest::Approx(1.21615).epsilon(1e-12));
    CHECK(ratio_at("copper", 75) == doctest::Approx(309.5 / 254.5).epsilon(5e-5));
    CHECK(ratio_at("aluminium", 75) == doctest::Approx(303.0 / 248).epsilon(1e-3)); // offset 228 °C
    CHECK(ratio_at("steel", 75) == doctest::Approx(277.0 / 222).epsilon(1e-14));    // offset 202 °C
}

TEST_CASE("metals are found by name and copper is 100 percent IACS") {
    // Expected: IEC 60028, 58 MS/m, 17.241379 nohm m and 8.89 g/cm3 (computed with GNU units).
    CHECK(metals().size() == 3);
    CHECK(si(metal("copper").resistivity) == doctest::Approx(17.241379e-9).epsilon(1e-8));
    CHECK(metal("copper").density_kg_per_m3 == 8890);
    CHECK(find_metal("unobtainium") == nullptr);
    CHECK(find_metal("") == nullptr);
    for (const Metal& m : metals()) CHECK_FALSE(m.source.empty());
}

TEST_CASE("the marine circular-mil rule is copper at about 29 degrees") {
    // Expected: CM = K·I·L/E with K = 10.75 (ABYC E-11, from memory); 10 A, 30 ft, 0.36 V need 8958 CM, so 10
    // AWG.
    const double circular_mils = 10.75 * 10 * 30 / 0.36;
    CHECK(circular_mils == doctest::Approx(8958).epsilon(1e-4));
    const double cmil = si(std::get<Area<>>(read_quantity<Area<>>("1 cmil")));
    CHECK(si(gauge_area(10)) / cmil > circular_mils);
    CHECK(si(gauge_area(12)) / cmil < circular_mils);
    // The same 30 ft of exactly that area, by rho/A at the temperature where K holds, loses the same 0.36 V.
    const double degrees = 20 + (10.75 * cmil / 0.3048 / si(metal("copper").resistivity) - 1) / 0.00393;
    CHECK(degrees ==
          doctest::Approx(29.3).epsilon(0.003)); // computed from K, as the same source's rule implies
    const double ohm =
        si(metal("copper").resistivity) * ratio_at("copper", degrees) * 30 * 0.3048 / (circular_mils * cmil);
    CHECK(ohm * 10 == doctest::Approx(0.36).epsilon(1e-4));
}

TEST_CASE("sizes sold are listed from the smallest wire to the largest") {
    // Expected: order by area; the gauges are those of marine tables after SAE J1128 and ABYC E-11 (read).
    for (std::size_t k = 1; k < metric_sizes_mm2().size(); ++k)
        CHECK(metric_sizes_mm2()[k] > metric_sizes_mm2()[k - 1]);
    for (std::size_t k = 1; k < gauge_sizes().size(); ++k)
        CHECK(si(gauge_area(gauge_sizes()[k])) > si(gauge_area(gauge_sizes()[k - 1])));
    CHECK(gauge_sizes().front() == 22);
    CHECK(gauge_sizes().back() == -3);
}

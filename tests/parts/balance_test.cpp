// Every kind of part alone: one current by hand, one limit, and its slopes.
#include <doctest/doctest.h>

#include <algorithm>

#include "tests/parts/sample.h"

using namespace lostvolts;
using namespace lostvolts::parts_tests;

namespace {

struct Case {
    const char* kind;
    Keys keys;
    double volts, amps;
    double tolerance = 1e-12; ///< of amps; of 1 A where that is 0
    Held held = Held::free;
};

const Keys pump{
    {"rated", "12 V"}, {"run_current", "9 A"}, {"stall_current", "24 A"}, {"run_speed", "3400 rpm"}};
const Keys charger{{"regulated", "14.2 V"}, {"limit", "60 A"}, {"resistance", "10 mohm"}};
const Keys radio{{"power", "18 W"}, {"cut_out", "6 V"}, {"knee", "9 V"}};
const Keys bulb{{"rated", "12 V"}, {"power", "21 W"}};
const Keys battery{{"emf", "12.6 V"}, {"resistance", "9 mohm"}};
const Keys relay{{"contact", "3 mohm"}, {"coil", "85 ohm"}};

const std::vector<Case> by_hand{
    {"battery", battery, -12, 0.6 / 0.009},             // (−12 + 12.6)/0.009
    {"breaker", {{"rating", "20 A"}}, 0.05, 10},        // 0.1 V at rating: 5 mΩ
    {"capacitor", {{"capacitance", "2200 uF"}}, 12, 0}, // charged, it takes nothing
    {"charger", charger, -13.9, 30},                    // (14.2 − 13.9)/0.010
    {"connector", {{"resistance", "4 mohm"}}, 0.04, 10},
    {"diode", {{"forward_drop", "0.7 V"}, {"resistance", "20 mohm"}}, 1.1, 20 + 1.1e-9}, // and its leak
    {"electronic", radio, 12, 1.5 + 12e-6}, // 18 W/12 V and its leak
    {"fuse", {{"rating", "25 A"}, {"resistance", "5 mohm"}}, 0.05, 10},
    {"ground", {{"resistance", "3 mohm"}}, 0.03, 10},
    {"heater", {{"rated", "12 V"}, {"power", "144 W"}}, 6, 6}, // 12²/144 = 1 Ω
    {"lamp", bulb, 12, 1.75, 4e-6},                            // 21 W/12 V; dark filament 3.6e-6
    {"motor", pump, 12, 9, 1e-9},                              // as its nameplate says
    {"relay", relay, 0.03, 10, 1e-12, Held::closed},
    {"resistor", {{"resistance", "6 ohm"}}, 12, 2},
    {"solenoid", {{"resistance", "8 ohm"}}, 12, 1.5},
    {"splice", {{"resistance", "2 mohm"}}, 0.02, 10},
    {"switch", {{"resistance", "10 mohm"}}, 0.1, 10, 1e-12, Held::closed},
    {"wire", {{"size", "2.5 mm2"}, {"length", "10 m"}}, 0.798, 10}, // 7.98 mΩ/m at 20 °C [IEC228]
};

const std::vector<Case> limits{
    {"battery", battery, 0, 1400},        // shorted: 12.6/0.009
    {"battery", battery, -12.6, 0, 1e-9}, // at rest
    {"battery", battery, -14.4, -200},    // charged: (−14.4 + 12.6)/0.009
    {"charger", charger, 0, 60, 1e-4},    // its limit, and the slack's slope
    {"charger", charger, -15, 0, 1e-4},   // takes nothing back
    {"diode", {}, -12, -12e-9},           // reversed
    {"electronic", radio, 5, 5e-6},       // below cut-out
    {"electronic", radio, 7, 2 + 7e-6},   // below the knee: 18 W/9 V
    {"electronic", radio, -12, -12e-6},   // reversed
    {"fuse", {{"rating", "25 A"}}, si(blade_fuse(from_si<Current<>>(25.0)).drop_at_rating), 25, 1e-9},
    {"lamp", bulb, 1e-6, 1e-6 / (144 / 21. / 12), 2e-3}, // dark: a twelfth of 6.857 Ω
    {"motor", pump, 12, 24, 1e-9, Held::locked},         // stalled
    {"motor", pump, 0, 0, 1e-9},                         // dead
    {"relay", relay, 12, 0},                             // open
    {"switch", {}, 12, 0},                               // open
    // "0 ohm" is ten micro-ohms: 1 mV drives 100 A.
    {"breaker", {{"resistance", "0 ohm"}}, 1e-3, 100},
    {"connector", {{"resistance", "0 ohm"}}, 1e-3, 100},
    {"ground", {{"resistance", "0 ohm"}}, 1e-3, 100},
    {"heater", {{"resistance", "0 ohm"}}, 1e-3, 100},
    {"resistor", {{"resistance", "0 ohm"}}, 1e-3, 100},
    {"solenoid", {{"resistance", "0 ohm"}}, 1e-3, 100},
    {"splice", {{"resistance", "0 ohm"}}, 1e-3, 100},
    {"wire", {{"resistance", "0 ohm"}}, 1e-3, 100},
};

AnyPart part_of(const Case& row) {
    Entry e = entry_of(row.kind, row.keys);
    auto part = read_part(e);
    e.unknown_keys();
    for (const Problem& p : e.problems) MESSAGE(describe(p));
    REQUIRE(part);
    REQUIRE(e.problems.empty());
    hold(*part, row.held);
    return *part;
}

void check(const std::vector<Case>& rows) {
    for (const Case& row : rows) {
        INFO(row.kind << " at " << row.volts << " V");
        const double amps = settled(part_of(row), row.volts).amps;
        CHECK(std::abs(amps - row.amps) <= row.tolerance * (row.amps == 0 ? 1 : std::abs(row.amps)));
    }
}

} // namespace

TEST_CASE("each kind of part carries the current worked out by hand") {
    // By hand, beside each row. Tolerance: rounding, or what the row says.
    check(by_hand);
    for (const std::string& kind : part_kinds())
        CHECK_MESSAGE(
            std::any_of(by_hand.begin(), by_hand.end(), [&](const Case& row) { return row.kind == kind; }),
            kind, " has no row");
}

TEST_CASE("each kind of part stands right at its limit") {
    // By hand: shorted, open, stalled, cut out, reversed, or without resistance, beside each row.
    check(limits);
}

TEST_CASE("turned round, a part without polarity carries the same current the other way") {
    // Symmetry of the equation. A motor turned round turns the other way.
    for (const Case& row : by_hand) {
        const AnyPart part = part_of(row);
        if (std::holds_alternative<Battery<>>(part) || std::holds_alternative<Charger<>>(part) ||
            std::holds_alternative<Diode<>>(part) || std::holds_alternative<Electronic<>>(part))
            continue;
        INFO(row.kind);
        const Settled there = settled(part, row.volts), back = settled(part, -row.volts);
        CHECK(back.amps == doctest::Approx(-there.amps).epsilon(1e-12));
        for (std::size_t k = 0; k < most_own; ++k)
            CHECK(back.own[k] == doctest::Approx(-there.own[k]).epsilon(1e-9));
    }
}

TEST_CASE("each kind's slope against its voltage is a central difference's") {
    // Central difference of the settled current, step 1e-5 of the voltage. Tolerance: 1e-7 of the slope, the
    // difference's own error; 1e-9 S where there is none.
    for (const Case& row : by_hand) {
        INFO(row.kind);
        const AnyPart part = part_of(row);
        const double step = 1e-5 * std::abs(row.volts);
        const double difference =
            (settled(part, row.volts + step).amps - settled(part, row.volts - step).amps) / (2 * step);
        const Line line = line_at(part, row.volts, settled(part, row.volts).own);
        CHECK(std::abs(line.siemens - difference) <= 1e-7 * std::abs(difference) + 1e-9);
    }
}

TEST_CASE("each kind's slope against each of its numbers is a central difference's") {
    // Central difference of the settled current and own unknowns, step 1e-5 of the number (1e-8 SI where it
    // is 0). Tolerance: 1e-6 of the slope, the difference's own error, and rounding over the step.
    int compared = 0;
    for (const Case& row : by_hand) {
        const AnyPart part = part_of(row);
        const Settled at = settled(part, row.volts);
        NumberSlopes slopes{};
        number_slopes(part, row.volts, at.own, slopes);
        const PartNumbers numbers = numbers_of(part);
        REQUIRE(slopes.count == static_cast<int>(numbers.values.size()));
        for (std::size_t j = 0; j < numbers.values.size(); ++j) {
            INFO(row.kind << ", " << std::string(numbers.names[j]));
            const bool zero = numbers.values[j] == 0;
            const double step = zero ? 1e-8 : 1e-5 * std::abs(numbers.values[j]);
            const Settled up = settled(with_number_moved(part, j, step), row.volts);
            const Settled down = settled(with_number_moved(part, j, -step), row.volts);
            const auto agree = [&](double slope, double above, double below, double value) {
                const double difference = (above - below) / (2 * step);
                const double rounding = 1e-13 * (std::abs(value) + 1e-6) / step;
                CHECK(std::abs(slope - difference) <= 1e-6 * std::abs(difference) + rounding);
                ++compared;
            };
            agree(slopes.amps[j], up.amps, down.amps, at.amps);
            for (std::size_t k = 0; k < static_cast<std::size_t>(own_count(part)); ++k)
                agree(slopes.own[k][j], up.own[k], down.own[k], at.own[k]);
        }
    }
    CHECK(compared > 60);
}

TEST_CASE("a relay's coil takes its voltage over its resistance and nothing when it is open") {
    // By hand: 12 V over 85 ohm, and −v/R² for its slope against the resistance.
    Case row{"relay", relay, 0, 0};
    AnyPart part = part_of(row);
    auto& r = std::get<Relay<>>(part);
    CHECK(coil_line(r).siemens * 12 == doctest::Approx(12 / 85.).epsilon(1e-14));
    NumberSlopes slopes{};
    coil_number_slopes(r, 12, slopes);
    CHECK(slopes.amps[2] == doctest::Approx(-12 / (85. * 85.)).epsilon(1e-14));
    CHECK(slopes.amps[0] == 0);
    apply_fault(part, FaultKind::open_coil, 0);
    CHECK(coil_line(r).siemens == 0);
}

// What a part's keys become, and what is taken where the file says nothing.
#include <doctest/doctest.h>

#include "tests/parts/sample.h"

using namespace lostvolts;
using namespace lostvolts::parts_tests;

namespace {

struct Case {
    const char* kind;
    Keys keys;
    const char* number;
    double value; ///< SI
};

// R and k of the nameplate 12 V, 9 A, 24 A, 3000 rpm: 12/24 Ω and (12 − 4.5)/(100π) V·s.
const Keys pump{
    {"rated", "12 V"}, {"run_current", "9 A"}, {"stall_current", "24 A"}, {"run_speed", "3000 rpm"}};
constexpr double pump_constant = 7.5 / (100 * 3.14159265358979323846);
Keys pump_and(Key more) {
    Keys keys = pump;
    keys.push_back(std::move(more));
    return keys;
}

const std::vector<Case> rows{
    {"battery", {{"charge", "50 %"}, {"temperature", "26.7 degC"}}, "emf", 12.24}, // [BAT1], read
    {"battery", {{"charge", "50 %"}, {"temperature", "26.7 degC"}, {"cells", "12"}}, "emf", 24.48},
    {"battery", {{"temperature", "26.7 degC"}}, "emf", 12.65}, // full when nothing is said
    {"battery", {}, "resistance", 10e-3},
    {"battery", {{"emf", "25.2 V"}}, "resistance", 20e-3}, // twelve cells by its emf
    {"battery",
     {{"cold_cranking", "600 A"}},
     "resistance",
     (12.65 - 6 * 0.0002 * 44.7 - 7.2) / 600}, // [BAT2]
    {"breaker", {{"rating", "20 A"}}, "resistance", 5e-3},
    {"capacitor", {{"capacitance", "2200 uF"}}, "capacitance", 2.2e-3},
    {"capacitor", {{"capacitance", "2200 uF"}}, "resistance", 0.05},
    {"charger", {{"regulated", "14.2 V"}, {"limit", "60 A"}}, "resistance", 5e-3},
    {"connector", {}, "resistance", 5e-3},
    {"diode", {}, "forward drop", 0.7},
    {"diode", {}, "resistance", 0.02},
    {"electronic", {{"power", "18 W"}}, "power", 18},
    {"fuse", {{"rating", "15 A"}}, "resistance", si(blade_fuse(from_si<Current<>>(15.0)).cold)},
    {"fuse", {{"rating", "15 A"}, {"resistance", "7 mohm"}}, "resistance", 7e-3},
    {"ground", {}, "resistance", 3e-3},
    {"heater", {{"rated", "24 V"}, {"power", "144 W"}}, "resistance", 4},
    {"lamp", {{"rated", "12 V"}, {"power", "21 W"}}, "resistance", 144 / 21.},
    {"motor", pump, "winding resistance", 0.5},
    {"motor", pump, "motor constant", pump_constant},
    {"motor", pump, "load torque", pump_constant * 9},
    {"motor", pump, "inductance", 0.5 * 0.002},
    {"motor", pump, "inertia", 0.060 * pump_constant* pump_constant / 0.5},
    {"motor", pump_and({"brush_drop", "1.2 V"}), "winding resistance", 10.8 / 24},
    {"motor", pump_and({"friction", "0.05 N m"}), "load torque", pump_constant * 9 - 0.05},
    {"motor", pump_and({"drag", "0.001 N m s"}), "viscous drag", 1e-3},
    {"relay", {{"coil", "85 ohm"}}, "contact resistance", 5e-3},
    {"relay", {{"coil", "85 ohm"}}, "coil resistance", 85},
    {"resistor", {{"resistance", "4.7 kohm"}}, "resistance", 4700},
    {"solenoid", {{"resistance", "8 ohm"}}, "inductance", 0.04},
    {"splice", {}, "resistance", 2e-3},
    {"switch", {}, "resistance", 10e-3},
    {"wire", {{"size", "4 mm2"}, {"length", "3 m"}}, "resistance", 3 * 4.95e-3}, // [IEC228] at 20 °C
    {"wire",
     {{"size", "4 mm2"}, {"length", "3 m"}, {"temperature", "120 degC"}},
     "resistance",
     3 * 4.95e-3 * 1.393},
    {"wire",
     {{"size", "4 mm2"}, {"length", "3 m"}, {"material", "aluminium"}},
     "resistance",
     3 * 28.264e-9 / 4e-6}, // [IEC889]
    {"wire", {{"size", "4 mm2"}, {"length", "3 m"}, {"resistance", "1 ohm"}}, "resistance", 1},
};

AnyPart read(const char* kind, const Keys& keys) {
    Entry e = entry_of(kind, keys);
    const auto part = read_part(e);
    e.unknown_keys();
    for (const Problem& p : e.problems) MESSAGE(describe(p));
    REQUIRE(part);
    REQUIRE(e.problems.empty());
    return *part;
}

} // namespace

TEST_CASE("keys and what stands in for them give each part its numbers") {
    // By hand from the comments of the parts' headers; a published figure where the row names one.
    for (const Case& row : rows) {
        INFO(row.kind << ": " << row.number);
        const PartNumbers numbers = numbers_of(read(row.kind, row.keys));
        bool there = false;
        for (std::size_t k = 0; k < numbers.names.size(); ++k) {
            if (numbers.names[k] != row.number) continue;
            there = true;
            CHECK(numbers.values[k] == doctest::Approx(row.value).epsilon(1e-12));
        }
        CHECK(there);
    }
}

TEST_CASE("thresholds that are not told follow from those that are") {
    // By hand: a relay drops out at a sixth of its pull-in; a knee lies a quarter above cut-out.
    const auto relay = std::get<Relay<>>(read("relay", {{"coil", "320 ohm"}, {"pull_in", "14.4 V"}}));
    CHECK(si(relay.settings.drop_out) == doctest::Approx(2.4).epsilon(1e-12));
    const auto radio = std::get<Electronic<>>(read("electronic", {{"power", "18 W"}, {"cut_out", "8 V"}}));
    CHECK(si(radio.settings.knee) == doctest::Approx(10).epsilon(1e-12));
}

TEST_CASE("a told tolerance replaces that of the main numbers only") {
    // By hand: the tolerance is the half-width of 95 %, so 8 % of 1 Ω is a standard deviation of 40 mΩ.
    const AnyPart wire = read("wire", {{"resistance", "1 ohm"}});
    CHECK(numbers_of(wire, 0.2).deviations[0] == doctest::Approx(0.1).epsilon(1e-12));
    CHECK(numbers_of(wire).deviations[0] == doctest::Approx(0.04).epsilon(1e-12));
    CHECK(numbers_of(wire, 0.2).deviations[1] == 0); // a fault's own number
    const AnyPart diode = read("diode", {});
    CHECK(numbers_of(diode, 0.02).deviations[1] == numbers_of(diode).deviations[1]);
}

TEST_CASE("a kind that nobody wrote a part for is not read") {
    // all.h: nullopt, and the circuit's reader says so.
    Entry e = entry_of("flux gate", {});
    CHECK_FALSE(read_part(e));
    CHECK(part_kinds().size() == std::variant_size_v<AnyPart>);
}

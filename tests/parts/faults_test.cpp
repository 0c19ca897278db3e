// What each fault does to the part it sits in.
#include <doctest/doctest.h>

#include <set>

#include "tests/parts/sample.h"

using namespace lostvolts;
using namespace lostvolts::parts_tests;

namespace {

struct Case {
    const char* kind;
    Keys keys;
    FaultKind fault;
    double size;
    double volts, amps; ///< with the fault in
    double tolerance = 1e-12;
    Held held = Held::free;
};

using enum FaultKind;

const Keys ten_milliohms{{"resistance", "10 mohm"}};
const Keys battery{{"charge", "100 %"}, {"temperature", "26.7 degC"}, {"resistance", "10 mohm"}};
const Keys charger{{"regulated", "14.2 V"}, {"limit", "60 A"}, {"resistance", "10 mohm"}};
const Keys relay{{"contact", "10 mohm"}, {"coil", "85 ohm"}};
// R = 0.5 Ω, k = 0.1 V·s, 1 N·m at any speed: 10 A. At 25 V that leaves 20 V of back emf, 200 rad/s.
const Keys motor{
    {"resistance", "0.5 ohm"}, {"constant", "0.1 V s"}, {"load", "constant"}, {"load_torque", "1 N m"}};
constexpr double kinks = 2e-6; // a millionth of the load is viscous, from 100 rad/s on

const std::vector<Case> rows{
    // 10 mΩ and 90 mΩ more: 1 V drives 10 A.
    {"breaker", ten_milliohms, high_resistance, 0.09, 1, 10},
    {"connector", ten_milliohms, high_resistance, 0.09, 1, 10},
    {"fuse", {{"rating", "25 A"}, {"resistance", "10 mohm"}}, high_resistance, 0.09, 1, 10},
    {"ground", ten_milliohms, high_resistance, 0.09, 1, 10},
    {"relay", relay, high_resistance, 0.09, 1, 10, 1e-12, Held::closed},
    {"splice", ten_milliohms, high_resistance, 0.09, 1, 10},
    {"switch", ten_milliohms, high_resistance, 0.09, 1, 10, 1e-12, Held::closed},
    {"wire", ten_milliohms, high_resistance, 0.09, 1, 10},
    // A battery at a quarter of its charge rests at 12.06 V [BAT1]; 1.06 V over 10 mΩ.
    {"battery", battery, low_charge, 0.25, -11, 106, 1e-9},
    {"battery", battery, weak_battery, 0.09, -11.65, 10, 1e-9}, // (12.65 − 11.65)/0.1
    {"charger", charger, weak_battery, 0.09, -13.2, 10, 1e-12}, // (14.2 − 13.2)/0.1
    {"charger", charger, open, 0, -13.2, 0, 1e-4},
    {"motor", motor, worn_brushes, 0.5, 25, 25, 1e-9, Held::locked}, // 25 V over 1 Ω
    {"motor", motor, dragging, 1, 25, 20, kinks},                    // twice the torque
    {"motor", motor, seized, 0, 25, 50, 1e-9},                       // 25 V over 0.5 Ω
    {"motor", motor, running_light, 0.4, 25, 4, kinks},
    {"motor", motor, weak_field, 0.2, 25, 12.5, 4 * kinks}, // the same torque from 0.08 N·m/A
    // A fifth of the turns shorted: R 0.4 Ω, k 0.08 V·s, drag k²·0.2/R = 0.004 N·m·s of the whole winding.
    // 25 = 0.4·i + 0.08·ω and 0.08·i = 1 + 0.004·ω: ω = 20/0.1 = 200 rad/s, i = 22.5 A.
    {"motor", motor, shorted_winding, 0.2, 25, 22.5, kinks},
    {"relay", relay, stuck_closed, 0, 0.1, 10},
};

AnyPart faulty(const Case& row) {
    Entry e = entry_of(row.kind, row.keys);
    auto part = read_part(e);
    REQUIRE(part);
    REQUIRE(e.problems.empty());
    hold(*part, row.held);
    apply_fault(*part, row.fault, row.size);
    return *part;
}

Keys least_keys(const std::string& kind) {
    if (kind == "battery") return {};
    if (kind == "charger") return charger;
    if (kind == "relay") return relay;
    if (kind == "motor") return motor;
    if (kind == "capacitor") return {{"capacitance", "1 mF"}};
    if (kind == "lamp") return {{"rated", "12 V"}, {"power", "21 W"}};
    if (kind == "electronic") return {{"power", "18 W"}};
    if (kind == "diode") return {};
    if (kind == "fuse") return {{"rating", "10 A"}};
    return {{"resistance", "1 ohm"}};
}

} // namespace

TEST_CASE("each fault changes its part's current as its meaning says") {
    // By hand, beside each row.
    for (const Case& row : rows) {
        INFO(row.kind << ": " << std::string(name_of(row.fault)));
        const double amps = settled(faulty(row), row.volts).amps;
        CHECK(std::abs(amps - row.amps) <= row.tolerance * (row.amps == 0 ? 1 : row.amps));
    }
}

TEST_CASE("a fault that opens or shorts a part leaves its own numbers alone") {
    // fault.h: opening a part and shorting it to ground is the network's doing. A charger alone opens itself.
    // Every other fault has a row above.
    std::set<std::pair<std::string, FaultKind>> done{{"relay", open_coil}}; // in balance_test.cpp
    for (const Case& row : rows) done.insert({row.kind, row.fault});
    for (const std::string& kind : part_kinds()) {
        Entry e = entry_of(kind, least_keys(kind));
        const auto part = read_part(e);
        REQUIRE(part);
        CHECK_FALSE(faults_of(*part).empty());
        for (const FaultMode& mode : faults_of(*part)) {
            INFO(kind << ": " << std::string(name_of(mode.kind)));
            CHECK(mode.odds > 0);
            CHECK(mode.low <= mode.high);
            CHECK((size_of(mode.kind) == FaultSize::none) == (mode.high == 0));
            if (done.contains({kind, mode.kind})) continue;
            CHECK((mode.kind == open || mode.kind == short_to_ground));
            AnyPart changed = *part;
            apply_fault(changed, mode.kind, 0.5);
            CHECK(numbers_of(changed).values == numbers_of(*part).values);
        }
    }
}

TEST_CASE("faults have the names that files write and no two the same") {
    // DESIGN, "Commands": the fault kinds of the JSON answer.
    for (const char* name :
         {"high resistance", "open", "short to ground", "worn brushes", "dragging", "seized", "running light",
          "weak field", "shorted winding", "low charge", "weak battery"})
        CHECK(fault_kind(name));
    for (const std::string_view name : fault_names()) {
        REQUIRE(fault_kind(name));
        CHECK(name_of(*fault_kind(name)) == name);
    }
    CHECK_FALSE(fault_kind("bad"));
}

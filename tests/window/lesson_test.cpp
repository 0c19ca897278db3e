// The Lesson: what its sliders stand for, its demonstrations, and the window that shows them.
#include <doctest/doctest.h>

#include "solver/circuit/read.h"
#include "tests/window/hand.h"
#include "tests/window/job.h"
#include "viewer/window/demonstrations.h"
#include "viewer/window/stage.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

Circuit wash_down_circuit() {
    auto circuit = read_circuit_text(wash_down, "circuit.toml");
    REQUIRE(static_cast<bool>(circuit));
    return *std::move(circuit);
}

Stage staged(const Circuit& circuit, const StageSetting& setting) {
    const Watch nobody;
    return set_stage(circuit, std::string(wash_down), setting, nobody);
}

} // namespace

TEST_CASE("a slider at its left end is healthy and at its right end the worst of its kind") {
    // Expected, by hand: the ranges in stage.h and in the kinds' tables of faults.
    const Circuit c = wash_down_circuit();
    const PartId ground = find_part(c, "pump ground"), motor = find_part(c, "pump"),
                 battery = find_part(c, "battery");
    CHECK_FALSE(fault_of(c, {ground, FaultKind::high_resistance, 0}));
    CHECK(fault_of(c, {ground, FaultKind::high_resistance, 1})->size == doctest::Approx(100));
    CHECK(fault_of(c, {motor, FaultKind::dragging, 1})->size == doctest::Approx(5));
    CHECK(fault_of(c, {motor, FaultKind::running_light, 1})->size == doctest::Approx(0));
    CHECK(fault_of(c, {battery, FaultKind::low_charge, 1})->size == doctest::Approx(0.02));
    CHECK_FALSE(fault_of(c, {motor, FaultKind::seized, 0.4}));
    CHECK(fault_of(c, {motor, FaultKind::seized, 0.6}));
}

TEST_CASE("a slider set for a fault stands for that fault") {
    // Expected: property.
    const Circuit c = wash_down_circuit();
    for (PartId p = 0; p < static_cast<PartId>(c.parts.size()); ++p)
        for (const FaultKind kind : knobs_for(c, p)) {
            const auto fault = fault_of(c, {p, kind, 0.7});
            REQUIRE(fault);
            const auto again = fault_of(c, knob_of(c, *fault));
            REQUIRE(again);
            CHECK(again->size == doctest::Approx(fault->size));
        }
}

TEST_CASE("the stage shows the healthy circuit beside the faulty one and says why") {
    // Expected, by hand: 0.1 ohm more in the loop leaves the pump fewer volts and fewer amperes with the
    // rotor held; in the cold the same wire has less resistance.
    const Circuit c = wash_down_circuit();
    StageSetting setting;
    setting.knobs = {knob_of(c, {find_part(c, "pump ground"), FaultKind::high_resistance, 0.1})};
    setting.starting = true;
    const Stage stage = staged(c, setting);
    REQUIRE(stage.problems.empty());
    CHECK(si(stage.faulty.across) < si(stage.healthy.across) - 0.5);
    CHECK(si(*stage.faulty.stall_current) < si(*stage.healthy.stall_current));
    CHECK_FALSE(stage.why.empty());
    REQUIRE(stage.healthy_start);
    REQUIRE(stage.faulty_start);
    CHECK(stage.healthy_start->seconds.size() == stage.faulty_start->seconds.size());
    setting.celsius = -20;
    CHECK(staged(c, setting).problems.empty());
}

TEST_CASE("each demonstration shows what misleads and what tells") {
    // Expected, by hand: unloaded, both read the battery's 12.6 V; the ohmmeter's readings differ by one
    // digit at the most; the ammeter shows the same for resistance and for wear.
    const Circuit c = wash_down_circuit();
    const Demonstration full = unloaded_volts(c);
    REQUIRE(full.problems.empty());
    CHECK(full.rows[0].cells[1] == "12.60 V");
    CHECK(full.rows[0].cells[2] == "12.60 V");
    CHECK(full.rows[1].cells[1] != full.rows[1].cells[2]);
    const Demonstration ohms = ohmmeter_and_drop(c);
    REQUIRE(ohms.problems.empty());
    CHECK(ohms.rows[0].cells[1] == "0.2 Ω");
    CHECK(ohms.rows[0].cells[2] == "0.3 Ω");
    const Demonstration low = low_current(c);
    REQUIRE(low.problems.empty());
    CHECK(low.rows[0].cells[2] == low.rows[0].cells[3]);
    CHECK(low.rows[1].cells[2] != low.rows[1].cells[3]);
}

TEST_CASE("the Lesson follows a slider and its demonstrations are one key each") {
    // Expected, by hand: F3 opens it, 1 to 3 show a demonstration, F2 goes back with nothing lost.
    const std::string sprayer = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml";
    const auto app = opened(sprayer);
    Hand hand(*app);
    hand.key(sf::Keyboard::F3);
    app->settle();
    REQUIRE(app->lesson().stage().stand);
    CHECK(app->lesson().stage().faulty.faults.empty());
    shoot(*app, "lesson healthy");
    hand.key(sf::Keyboard::Num1);
    app->settle();
    CHECK(app->lesson().stage().faulty.faults.size() == 1);
    shoot(*app, "lesson unloaded");
    hand.key(sf::Keyboard::Num3);
    app->settle();
    shoot(*app, "lesson low current");
    hand.key(sf::Keyboard::F5);
    app->settle();
    shoot(*app, "lesson start");
}

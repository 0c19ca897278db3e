#include <doctest/doctest.h>

#include <cmath>

#include "solver/lesson/sweep.h"
#include "tests/lesson/motor_loop.h"

using namespace lostvolts;
using namespace lostvolts::lesson_tests;

namespace {

/// Two standard deviations of the class's clamp, by hand: half-width 2 % + 5 counts of 0.1 A, evenly likely
/// throughout (a/√3), and the rounding of a count (its width/√12).
double clamp_band(double amps) {
    const double half = 0.02 * amps + 0.5;
    return 2 * std::sqrt(half * half / 3 + 0.01 / 12);
}

Sweep swept(const Stand& stand, const std::string& words, const std::vector<Condition>& conditions = {}) {
    const auto request = read_sweep(*stand.circuit, words);
    REQUIRE(request);
    const auto result = sweep(stand, *request, conditions);
    REQUIRE(result);
    return *result;
}

std::string refusal(const std::string& words) {
    const auto read = read_sweep(bundled("orchard_sprayer"), words);
    REQUIRE_FALSE(read);
    const Problem& p = read.problems().front();
    return p.what + " | " + p.write;
}

} // namespace

TEST_CASE("the stretch in which the current misleads is the hand-solved one") {
    // Expected, by hand: linear load, k²/c = 0.4 ohm, no part strays, so the band is the clamp's alone.
    // Loss (0.2 + r)·12/(1.4 + r) = 2 V at r = 0.04 ohm. A tenth slower (speed goes with current): 1.4 + r =
    // 1.4/0.9. Running current 12/1.4 leaves its band where 12/(1.4 + r) is the band below; the stall current
    // 12/(1 + r) likewise, earlier.
    const Stand stand = stand_of(
        circuit_of(motor_loop("load = \"linear\"\nload_torque = \"0.2 N m\"\nload_speed = \"200 rad/s\"")));
    const Sweep s = swept(stand, "return: 0 to 500 mohm");
    const double run = 12 / 1.4, stall = 12;
    const double left_at = 12 / (run - clamp_band(run)) - 1.4,
                 stall_left_at = 12 / (stall - clamp_band(stall)) - 1;
    REQUIRE(s.limit_at);
    CHECK(*s.limit_at == doctest::Approx(0.04).epsilon(1e-3));
    REQUIRE(s.slow_at);
    CHECK(*s.slow_at == doctest::Approx(1.4 / 0.9 - 1.4).epsilon(1e-3));
    REQUIRE(s.run.left_at);
    CHECK(*s.run.left_at == doctest::Approx(left_at).epsilon(1e-3));
    REQUIRE(s.stall);
    REQUIRE(s.stall->left_at);
    CHECK(*s.stall->left_at == doctest::Approx(stall_left_at).epsilon(1e-3));
    CHECK(*s.stall->left_at < *s.run.left_at);
    REQUIRE(s.misleads);
    CHECK(s.misleads->from == *s.limit_at);
    CHECK(s.misleads->to == *s.run.left_at);
    CHECK_FALSE(s.misleads->beyond);
    REQUIRE(s.rows.size() == 21);
    CHECK(si(s.rows[10].run_current) == doctest::Approx(12 / 1.65).epsilon(1e-5));
}

TEST_CASE("under a load of constant torque the current misleads without end") {
    // Expected, by hand: 5 A whatever the resistance. A tenth slower where 7 V − 5 A·r is 0.9 of 7 V: r =
    // 0.14 ohm, before the loss of 2 V at 0.2 ohm.
    const Stand stand = stand_of(circuit_of(motor_loop("load = \"constant\"\nload_torque = \"0.1 N m\"")));
    const Condition worn{"worn brushes", {{stand.load, FaultKind::worn_brushes, 0.3}}};
    const Sweep s = swept(stand, "return: 0 to 500 mohm", {worn});
    CHECK(s.doubles.empty()); // all sizes draw the same: no one of them is the other's double
    CHECK(*s.limit_at == doctest::Approx(0.2).epsilon(1e-3));
    CHECK(*s.slow_at == doctest::Approx(0.14).epsilon(1e-3));
    CHECK_FALSE(s.run.left_at);
    REQUIRE(s.misleads);
    CHECK(s.misleads->from == doctest::Approx(0.14).epsilon(1e-3));
    CHECK(s.misleads->to == 0.5);
    CHECK(s.misleads->beyond);
}

TEST_CASE("the healthy band takes in the motor's tolerance by its slope") {
    // Expected, by hand: I = V/(R + k²/c) with ±10 % (95 %) on R's motor part, on k and on the load torque,
    // each a standard deviation of 5 %. dI/dR = −I²/V; dI/dk = −I²/V·2k/c; dI/dT = I²/V·k²/c/T.
    std::string text = motor_loop("load = \"linear\"\nload_torque = \"0.2 N m\"\nload_speed = \"200 rad/s\"");
    const std::string sharp = "friction = \"0 N m\"\ntolerance = \"0 %\"";
    text.replace(text.find(sharp), sharp.size(), "friction = \"0 N m\"\ntolerance = \"10 %\"");
    const Stand stand = stand_of(circuit_of(text));
    const Sweep s = swept(stand, "return: 0 to 500 mohm");
    const double i = 12 / 1.4, g = i * i / 12;
    const double by_r = g * 0.8 * 0.05, by_k = g * 2 * 0.4 * 0.05, by_t = g * 0.4 * 0.05;
    const double clamp = clamp_band(i) / 2;
    const double half = 2 * std::sqrt(clamp * clamp + by_r * by_r + by_k * by_k + by_t * by_t);
    CHECK(s.run.high - s.run.low == doctest::Approx(2 * half).epsilon(1e-4));
}

TEST_CASE("a sweep finds the size at which it draws what another condition draws") {
    // Expected, by hand: the motor's brushes of 0.3 ohm carry the same current as 0.3 ohm in the return.
    const Circuit circuit =
        circuit_of(motor_loop("load = \"linear\"\nload_torque = \"0.2 N m\"\nload_speed = \"200 rad/s\""));
    const Stand stand = stand_of(circuit);
    const Condition worn{"worn brushes", {{find_part(circuit, "motor"), FaultKind::worn_brushes, 0.3}}};
    const Condition itself{"corroded", {{find_part(circuit, "return"), FaultKind::high_resistance, 0.2}}};
    const Sweep s = swept(stand, "return: 0 to 500 mohm", {worn, itself});
    REQUIRE(s.doubles.size() == 1);
    CHECK(s.doubles[0].condition == 0);
    CHECK(s.doubles[0].size == doctest::Approx(0.3).epsilon(1e-4));
}

TEST_CASE("a sweep is read as people write it") {
    // Expected: the words' plain meaning.
    const Circuit c = bundled("orchard_sprayer");
    const auto plain = read_sweep(c, "pump ground: 0 to 500 mohm");
    REQUIRE(plain);
    CHECK(plain->part == find_part(c, "pump ground"));
    CHECK(plain->kind == FaultKind::high_resistance);
    CHECK(plain->low == 0);
    CHECK(plain->high == 0.5);
    const auto comma = read_sweep(c, " tank connector, feed pin :10 mohm to 1 ohm");
    REQUIRE(comma);
    CHECK(comma->low == 0.01);
    CHECK(comma->high == 1);
    const auto drags = read_sweep(c, "rinse pump dragging: 0 to 200 %");
    REQUIRE(drags);
    CHECK(drags->kind == FaultKind::dragging);
    CHECK(drags->high == 2);
    const auto worn = read_sweep(c, "rinse pump: 0 to 1 ohm");
    REQUIRE(worn);
    CHECK(worn->kind == FaultKind::worn_brushes);
}

TEST_CASE("a sweep that can't be read says what to write") {
    // Expected: the messages word for word.
    CHECK(refusal("pump ground") ==
          "sweep \"pump ground\": a part, a colon and a range are expected | write for "
          "example  \"pump ground: 0 to 500 mohm\"");
    CHECK(
        refusal("pump grond: 0 to 1 ohm") ==
        "sweep \"pump grond: 0 to 1 ohm\": there is no part \"pump grond\" | did you mean \"pump ground\"?");
    CHECK(refusal("pump ground: 1 ohm to 0 ohm") == "sweep \"pump ground: 1 ohm to 0 ohm\": the range has to "
                                                    "go up, from nothing or more | write for example "
                                                    " \"pump ground: 0 to 500 mohm\"");
    CHECK(refusal("pump ground dragging: 0 to 1") == "sweep \"pump ground dragging: 0 to 1\": the ground "
                                                     "\"pump ground\" has no growing fault \"dragging\" | "
                                                     "it may have: high resistance");
    CHECK(refusal("pump ground: 0 to 500") == "sweep \"pump ground: 0 to 500\": \"0\" has no unit | write "
                                              "the unit in the value, for example \"0 ohm\"");
}

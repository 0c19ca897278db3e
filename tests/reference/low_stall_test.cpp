// Common practice, no source: a 12 V pump runs at about 9 A and stalls at about 21 A; one that stalls at 8 to
// 9 A has something in series with it. The main job has to say so.
#include <doctest/doctest.h>

#include <fmt/format.h>

#include "solver/locate/locate.h"
#include "tests/reference/example.h"

using namespace lostvolts;
using namespace lostvolts::reference_tests;

namespace {

std::string pump_circuit(double joint_ohms) {
    return part("battery", "battery", "0", "+", "emf = \"12.6 V\"\nresistance = \"12 mohm\"") +
           part("feed", "wire", "+", "plug", "resistance = \"20 mohm\"") +
           part("joint", "connector", "plug", "pump +", fmt::format("resistance = \"{} ohm\"", joint_ohms)) +
           part("m", "motor", "pump +", "pump -",
                "rated = \"12 V\"\nrun_current = \"9 A\"\nstall_current = \"21 A\"\nrun_speed = \"3400 "
                "rpm\"") +
           part("return", "wire", "pump -", "0", "resistance = \"10 mohm\"") + run_and_stall;
}

double stall_amps(double joint_ohms) { return solved(pump_circuit(joint_ohms)).motor_amps(1); }

/// The joint's ohms at which the pump stalls at `amps`, by halving.
double joint_for(double amps) {
    double low = 4e-3, high = 10;
    for (int k = 0; k < 60; ++k) (stall_amps(0.5 * (low + high)) > amps ? low : high) = 0.5 * (low + high);
    return 0.5 * (low + high);
}

std::string reading(const char* state, const std::string& quantity_and_where, double value,
                    const char* unit) {
    return fmt::format("[[reading]]\nstate = \"{}\"\n{}\nvalue = \"{:.2f} {}\"\n", state, quantity_and_where,
                       value, unit);
}
std::string amps_of(const Solved& s, const char* state, std::size_t n) {
    return reading(state, "quantity = \"current\"\nthrough = \"m\"", s.motor_amps(n), "A");
}
std::string volts_of(const Solved& s, const char* state, std::size_t n, const char* red, const char* black) {
    return reading(state, fmt::format("quantity = \"voltage\"\nred = \"{}\"\nblack = \"{}\"", red, black),
                   s.volts(red, n) - s.volts(black, n), "V");
}

/// What `locate` makes of these readings on the sound pump's drawing.
Location found(const std::string& readings) {
    const auto job = read_readings_text(readings, "readings.toml", circuit_of(pump_circuit(4e-3)));
    for (const Problem& p : job.problems()) MESSAGE(describe(p));
    REQUIRE(job);
    const auto location = locate(*job);
    REQUIRE(location);
    return *location;
}

double share_of(const Location& l, auto&& wanted) {
    double sum = 0;
    for (const Suspect& s : l.suspects)
        if (wanted(s)) sum += s.probability;
    return sum;
}

bool adds_ohms(const Suspect& s) {
    return !s.faults.empty() &&
           (s.faults[0].kind == FaultKind::high_resistance || s.faults[0].kind == FaultKind::worn_brushes ||
            s.faults[0].kind == FaultKind::weak_battery);
}

bool is_healthy(const Suspect& s) { return !s.unmodelled && s.faults.empty(); }

} // namespace

TEST_CASE("the resistance that brings a pump's stall from 21 to 8.5 amperes is more than its own winding's") {
    // By hand: held still the loop is 12.6 V over its ohms; 12.6/8.5 − 12.6/(that of 21 A) is 0.87 ohm, and
    // the winding is 12/21 = 0.571 ohm.
    CHECK(stall_amps(4e-3) == doctest::Approx(12.6 / (0.046 + 12 / 21.)).epsilon(1e-9));
    const double ohms = joint_for(8.5);
    CHECK(ohms == doctest::Approx(12.6 / 8.5 - 0.042 - 12 / 21.).epsilon(1e-9));
    CHECK(ohms > 12 / 21.);
    // It still turns, on less current than the plate says: a weak pump draws low current.
    const Solved s = solved(pump_circuit(ohms));
    CHECK(s.motor_amps() < 0.7 * 9);
    CHECK(s.part("joint").over_limit);
}

TEST_CASE("a low stall current and a steady battery tell of resistance in series and not yet where") {
    // Common practice, as above. A clamp and the volts at the posts can't tell joint, wire and brushes apart.
    const Solved s = solved(pump_circuit(joint_for(8.5)));
    const Location clamp = found(amps_of(s, "stall", 1));
    CHECK(clamp.verdict == Verdict::narrowed);
    CHECK(adds_ohms(clamp.suspects.front()));
    CHECK(share_of(clamp, is_healthy) < 0.01);
    CHECK_FALSE(clamp.next.empty());

    const Location l = found(amps_of(s, "stall", 1) + volts_of(s, "stall", 1, "+", "0"));
    CHECK(l.verdict == Verdict::narrowed);
    CHECK(share_of(l, adds_ohms) > 0.9);
    CHECK(share_of(l, [](const Suspect& x) { return adds_ohms(x) && x.faults[0].part == 0; }) < 0.01);
    CHECK(share_of(l, is_healthy) < 0.01);
}

TEST_CASE("drops across the pump's feed tell which joint it is and how many ohms it has") {
    // The readings are the model's own with 0.87 ohm more in the joint, rounded to a meter's digits.
    const double ohms = joint_for(8.5);
    const Solved s = solved(pump_circuit(ohms));
    const Location l =
        found(amps_of(s, "stall", 1) + volts_of(s, "stall", 1, "+", "0") +
              volts_of(s, "stall", 1, "plug", "pump +") + volts_of(s, "run", 0, "pump +", "pump -"));
    CHECK(l.verdict == Verdict::located);
    const Suspect& first = l.suspects.front();
    REQUIRE(first.faults.size() == 1);
    CHECK(first.faults[0].part == find_part(s.circuit, "joint"));
    CHECK(first.faults[0].kind == FaultKind::high_resistance);
    CHECK(first.faults[0].low <= ohms - 4e-3);
    CHECK(first.faults[0].high >= ohms - 4e-3);
    // Mended, it stalls at 21 A again, less what the rest of the loop takes.
    double mended = 0;
    for (const StatePrediction& state : l.repaired)
        if (s.circuit.states[static_cast<std::size_t>(state.state)].name == "stall")
            mended = si(state.motors.front().current);
    CHECK(mended == doctest::Approx(stall_amps(4e-3)).epsilon(1e-9));
}

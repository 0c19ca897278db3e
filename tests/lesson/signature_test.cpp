#include <doctest/doctest.h>

#include <cmath>

#include "solver/lesson/signature.h"
#include "tests/lesson/motor_loop.h"

using namespace lostvolts;
using namespace lostvolts::lesson_tests;

namespace {

std::vector<Fault> more_in_return(const Stand& stand, double ohms) {
    return {{find_part(*stand.circuit, "return"), FaultKind::high_resistance, ohms}};
}

doctest::Approx near(double x) { return doctest::Approx(x).epsilon(2e-5); } // the motor's viscous slack

} // namespace

TEST_CASE("the numbers of a signature are those of predict") {
    // Expected: predict on the same circuit and faults; two ways to the same numbers, so rounding only.
    for (const char* scenario : scenarios) {
        CAPTURE(scenario);
        const Circuit circuit = bundled(scenario);
        const Stand stand = stand_of(circuit);
        const auto load = static_cast<std::size_t>(stand.load);
        const Network network = analyse(std::make_shared<const Circuit>(circuit));
        Workspace work;
        for (const Signature& s : signatures(stand, circuit.conditions)) {
            CAPTURE(s.name);
            REQUIRE_FALSE(s.trouble);
            const auto run = predict_state(network, stand.run, s.faults, work);
            REQUIRE(run);
            CHECK(si(s.run_current) == doctest::Approx(si(run->parts[load].current)));
            CHECK(std::abs(si(s.across)) == doctest::Approx(std::abs(si(run->parts[load].drop))));
            for (const LoadResult& l : run->loads)
                if (l.part == stand.load) CHECK(si(s.lost) == doctest::Approx(si(l.lost)));
            for (const MotorResult& m : run->motors)
                if (m.part == stand.load) {
                    CHECK(si(*s.speed) == doctest::Approx(si(m.speed)));
                    CHECK(si(*s.torque) == doctest::Approx(si(m.torque)));
                }
            if (stand.turns() && stand.stall < stand.drawn_states) {
                const auto stall = predict_state(network, stand.stall, s.faults, work);
                REQUIRE(stall);
                CHECK(si(*s.stall_current) == doctest::Approx(si(stall->parts[load].current)));
            }
        }
    }
}

TEST_CASE("the falls along the way and across the load add up to the volts between the posts") {
    // Expected: Kirchhoff's voltage law, with every condition of every bundled circuit, backfeeds among them.
    for (const char* scenario : scenarios) {
        CAPTURE(scenario);
        const Circuit circuit = bundled(scenario);
        const Stand stand = stand_of(circuit);
        for (const Signature& s : signatures(stand, circuit.conditions)) {
            CAPTURE(s.name);
            double sum = si(fall_across(stand, s.run, stand.load));
            for (const PartId p : stand.out) sum += si(fall_across(stand, s.run, p));
            for (const PartId p : stand.back) sum += si(fall_across(stand, s.run, p));
            CHECK(sum == doctest::Approx(si(between_posts(stand, s.run))));
        }
    }
}

TEST_CASE("stall current falls as one over the loop's resistance and run current barely") {
    // Expected, closed form: held still I = V/(R + r). Under a linear load T = c·ω, V = I·(R + r) + k·ω and
    // k·I = c·ω give I = V/(R + r + k²/c): k²/c is 0.4 ohm here, so the running current falls less.
    const Stand stand = stand_of(
        circuit_of(motor_loop("load = \"linear\"\nload_torque = \"0.2 N m\"\nload_speed = \"200 rad/s\"")));
    Workspace work;
    for (const double r : {0.0, 0.1, 0.5, 2.0}) {
        CAPTURE(r);
        const Signature s = signature_of(stand, "", more_in_return(stand, r), work);
        CHECK(si(*s.stall_current) == near(emf_volts / (loop_ohms + r)));
        const double run = emf_volts / (loop_ohms + r + 0.4);
        CHECK(si(s.run_current) == near(run));
        CHECK(si(*s.speed) == near(constant * run / 1e-3));
        CHECK(si(s.lost) == near((0.2 + r) * run));
        CHECK(si(*s.power_in_fault) == near(run * run * r));
    }
}

TEST_CASE("a load of constant torque takes the same current through any resistance") {
    // Expected, closed form: I = T/k = 0.1 N m / 0.02 V s = 5 A; ω = (V − I·(R + r))/k.
    const Stand stand = stand_of(circuit_of(motor_loop("load = \"constant\"\nload_torque = \"0.1 N m\"")));
    Workspace work;
    for (const double r : {0.0, 0.2, 0.8}) {
        CAPTURE(r);
        const Signature s = signature_of(stand, "", more_in_return(stand, r), work);
        CHECK(si(s.run_current) == near(5));
        CHECK(si(*s.speed) == near((emf_volts - 5 * (loop_ohms + r)) / constant));
        CHECK(si(*s.stall_current) == near(emf_volts / (loop_ohms + r)));
    }
}

TEST_CASE("a stand finds the load that the conditions are about and the ways to it") {
    // Expected: read off the bundled drawings by hand.
    const Stand pump = stand_of(bundled("orchard_sprayer"));
    CHECK(pump.part(pump.load).name == "rinse pump");
    CHECK(pump.circuit->states[static_cast<std::size_t>(pump.run)].name == "run");
    CHECK(pump.circuit->states[static_cast<std::size_t>(pump.stall)].name == "stall");
    std::vector<std::string> way;
    for (const PartId p : pump.out) way.push_back(pump.part(p).name);
    CHECK(way == std::vector<std::string>{"main feed", "fuse 4", "pump relay", "feed wire",
                                          "tank connector, feed pin"});
    way.clear();
    for (const PartId p : pump.back) way.push_back(pump.part(p).name);
    CHECK(way == std::vector<std::string>{"tank connector, ground pin", "ground wire", "pump ground",
                                          "battery ground strap"});
    CHECK(pump.circuit->points[static_cast<std::size_t>(pump.high)].name == "battery +");
    CHECK(pump.circuit->points[static_cast<std::size_t>(pump.low)].name == "battery -");
    // Two batteries in series: the way ends at the outermost posts.
    const Stand spinner = stand_of(bundled("snow_plough_spinner"));
    CHECK(si(between_posts(spinner, signatures(spinner, {}).front().rest)) ==
          doctest::Approx(25.2).epsilon(1e-3));
}

TEST_CASE("a wish that no state grants is refused in words of the circuit") {
    // Expected: the messages word for word.
    const Circuit circuit = bundled("orchard_sprayer");
    StandWish wish;
    wish.load = find_part(circuit, "rinse pump");
    wish.state = find_state(circuit, "relay out");
    const auto stand = put_on_stand(circuit, wish);
    REQUIRE_FALSE(stand);
    CHECK(stand.problems().front().what == "motor \"rinse pump\" does not run in state \"relay out\"");
    CHECK(stand.problems().front().write ==
          "name a state in which it is switched on, its rotor free and nothing bridged");
}

TEST_CASE("typical faults are one of each kind on the loop and all of them are noticed or named") {
    // Expected: by the parts' own odds: the ground before the wire, the connector before the wire.
    const Circuit circuit = bundled("orchard_sprayer");
    const Stand stand = stand_of(circuit);
    const std::vector<Condition> typical = typical_faults(stand);
    std::vector<std::string> high;
    for (const Condition& c : typical) {
        REQUIRE(c.faults.size() == 1);
        const Fault& f = c.faults.front();
        if (f.kind == FaultKind::high_resistance) high.push_back(stand.part(f.part).name);
        for (const Condition& other : typical)
            if (&other != &c && f.kind != FaultKind::high_resistance)
                CHECK(other.faults.front().kind != f.kind);
    }
    CHECK(high == std::vector<std::string>{"tank connector, feed pin", "pump ground"});
    for (const Signature& s : signatures(stand, typical)) CHECK_FALSE(s.trouble);
}

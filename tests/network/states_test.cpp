// The states people measure in (bridged, removed, floating), a short, and relays that find no rest.
#include <doctest/doctest.h>

#include "solver/network/measure.h"
#include "solver/network/predict.h"
#include "tests/network/worked.h"

using namespace lostvolts;
using namespace lostvolts::testing;

TEST_CASE("two relays that rob each other's coils chatter together") {
    // By hand: each contact lies across the other's coil, which is fed through 20 ohm. Both pull in, both
    // starve each other, both drop out.
    Builder b;
    b.add(battery(12, 0.01), "gnd", "+");
    b.add(resistor(20), "+", "a");
    b.add(resistor(20), "+", "b");
    b.add_relay(relay(), "b", "gnd", "a", "gnd", "left");
    b.add_relay(relay(), "a", "gnd", "b", "gnd", "right");
    const Worked w(b);
    REQUIRE(w.problem);
    CHECK(w.problem->what ==
          "state \"run\": relay \"left\" and relay \"right\" chatter: closed, they take away "
          "their coils' voltage; open, they get it back");
    CHECK(w.problem->write ==
          "check where their coils are fed from, or hold one with closed = [...] in the state");
}

TEST_CASE("a ring of relays that ends at its own beginning chatters and names one of them") {
    // By hand: the first feeds the second's coil, that the third's, and the third lies across the first's.
    Builder b;
    b.add(battery(12, 0.01), "gnd", "+");
    b.add(resistor(20), "+", "first coil");
    b.add_relay(relay(), "+", "second coil", "first coil", "gnd", "first");
    b.add_relay(relay(), "+", "third coil", "second coil", "gnd", "second");
    b.add_relay(relay(), "first coil", "gnd", "third coil", "gnd", "third");
    const Worked w(b);
    REQUIRE(w.problem);
    CHECK(w.problem->what.starts_with("state \"run\": relay \"first\" chatters: "));
}

TEST_CASE("a jumper in a relay's place carries what the contact would and the coil is out") {
    // By hand: 12 V over 10 mΩ of battery, 10 mΩ of jumper and 1.18 ohm is 10 A, whatever the contact is
    // like.
    Builder b;
    b.add(battery(12, 0.01), "gnd", "+");
    const PartId r = b.add_relay(relay(), "+", "87", "+", "gnd");
    const PartId load = b.add(resistor(1.18), "87", "gnd");
    b.circuit.states.front().bridged = {r};
    for (const auto& faults :
         {std::vector<Fault>{}, {{r, FaultKind::high_resistance, 5}}, {{r, FaultKind::open, 0}}}) {
        const Worked w(b, faults);
        REQUIRE_FALSE(w.problem);
        CHECK(w.amps(load) == doctest::Approx(10).epsilon(1e-12));
        CHECK(w.amps(r) == doctest::Approx(10).epsilon(1e-12));
        CHECK(w.coil_amps(r) == 0);
    }
}

TEST_CASE("a jumper across a wire shares its current by conductance") {
    // By hand: 90 mΩ beside the jumper's 10 mΩ is 9 mΩ; with 1.191 ohm more 10 A, of which the wire has one.
    Builder b;
    b.add(battery(12, 1e-3), "gnd", "+");
    const PartId w90 = b.add(wire(0.090), "+", "load");
    const PartId load = b.add(resistor(1.190), "load", "gnd");
    b.circuit.states.front().bridged = {w90};
    const Worked w(b);
    REQUIRE_FALSE(w.problem);
    CHECK(w.amps(load) == doctest::Approx(10).epsilon(1e-12));
    CHECK(w.amps(w90) == doctest::Approx(1).epsilon(1e-12));
    // An open wire leaves the jumper alone: 12 V over 10 mΩ and 1.191 ohm.
    const Worked open(b, {{w90, FaultKind::open, 0}});
    CHECK(open.amps(load) == doctest::Approx(12 / 1.201).epsilon(1e-12));
    CHECK(open.amps(w90) == 0);
}

TEST_CASE("a part that is removed carries nothing and takes its coil along") {
    // By hand.
    Builder b;
    b.add(battery(12, 0.01), "gnd", "+");
    const PartId r = b.add_relay(relay(), "+", "87", "+", "gnd");
    const PartId load = b.add(resistor(2), "87", "gnd");
    b.circuit.states.front().removed = {r};
    const Worked w(b);
    REQUIRE_FALSE(w.problem);
    CHECK(w.amps(load) == 0);
    CHECK(w.coil_amps(r) == 0);
    CHECK(w.volts("+") == doctest::Approx(12).epsilon(1e-15));
}

TEST_CASE("a battery that hangs free shows its volts across itself and none against the rest") {
    // By hand: nothing joins the second battery to ground, so a prediction has no volts for its points and a
    // meter reads 0 V against ground but its 6 V over 3 ohm right.
    Builder b;
    b.add(battery(12, 0.01), "gnd", "+");
    b.add(resistor(5), "+", "gnd");
    b.add(battery(6, 1), "free -", "free +");
    b.add(resistor(2), "free +", "free -");
    Worked w(b);
    REQUIRE_FALSE(w.problem);
    const auto predicted = predict_state(w.network, 0, {}, w.work);
    REQUIRE(predicted);
    CHECK_FALSE(predicted->points[static_cast<std::size_t>(b.point("free +"))]);
    CHECK_FALSE(predicted->points[static_cast<std::size_t>(b.point("free -"))]);
    CHECK(predicted->points[static_cast<std::size_t>(b.point("+"))]);
    const std::vector<Probe> probes{{ProbeKind::voltage, b.point("free +"), b.point("free -"), none, 10e6},
                                    {ProbeKind::voltage, b.point("free +"), b.point("gnd"), none, 10e6}};
    const std::vector<double> read = read_probes(w.network, w.setup, w.at, w.work, probes);
    CHECK(read[0] == doctest::Approx(4).epsilon(1e-6)); // 10 Mohm across 0.67 ohm
    CHECK(read[1] == 0);
}

TEST_CASE("a wire shorted to ground takes the current past the load") {
    // By hand: 10 mΩ and 40 mΩ, then 50 mΩ to ground beside 5 ohm: 12 V over 0.05 + 0.05·5/5.05 ohm.
    Builder b;
    b.add(battery(12, 0.01), "gnd", "+");
    const PartId feed = b.add(wire(0.040), "+", "load");
    const PartId load = b.add(resistor(5), "load", "gnd");
    const Worked w(b, {{feed, FaultKind::short_to_ground, 0.05}});
    REQUIRE_FALSE(w.problem);
    const double total = 12 / (0.05 + 0.05 * 5 / 5.05);
    CHECK(w.amps(feed) == doctest::Approx(total).epsilon(1e-12));
    CHECK(w.amps(load) == doctest::Approx(total * 0.05 / 5.05).epsilon(1e-12));
}

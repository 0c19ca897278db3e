// What an ohmmeter reads on a dead circuit.
#include <doctest/doctest.h>

#include <cmath>

#include "solver/network/dead.h"
#include "solver/network/measure.h"
#include "solver/network/sound_state.h"
#include "tests/network/builder.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

/// battery, feed 0.05, motor 0.5, ground 0.2, and a lamp beside the motor.
Builder pump_and_lamp() {
    Builder b;
    b.add(battery(12.6, 0.009), "battery -", "battery +", "battery");
    b.add(conductor<Wire<>>(0.05), "battery +", "pump +", "feed");
    Motor<> motor;
    motor.winding = from_si<Resistance<>>(0.5);
    motor.constant = from_si<MotorConstant<>>(0.03);
    motor.load_torque = from_si<Torque<>>(0.2);
    motor.settings.load_speed = from_si<Speed<>>(300);
    b.add(motor, "pump +", "pump -", "pump");
    Lamp<> lamp;
    lamp.settings = {from_si<Voltage<>>(12), from_si<Power<>>(5)};
    lamp.resistance = from_si<Resistance<>>(28.8);
    b.add(lamp, "pump +", "pump -", "lamp");
    b.add(conductor<Ground<>>(0.2), "pump -", "battery -", "ground");
    return b;
}

double ohms_between(Builder& b, std::string_view red, std::string_view black,
                    const std::vector<Fault>& faults = {}) {
    const Network n = b.network();
    Workspace work;
    Setup dead = set_up_dead(n, 0, faults);
    const Leads leads{b.point(red), b.point(black)};
    const auto ohms = read_ohms(n, dead, work, {&leads, 1});
    REQUIRE(ohms);
    return ohms->front();
}

} // namespace

TEST_CASE("an ohmmeter reads a motor's winding beside a dark filament") {
    // Expected, by hand: 0.5 ohm beside a twelfth of 28.8 ohm (lamp.h: 0.004^0.45 = 0.0834), 0.4141 ohm.
    Builder b = pump_and_lamp();
    const double dark = 28.8 * std::pow(0.004, 0.45);
    CHECK(ohms_between(b, "pump +", "pump -") == doctest::Approx(0.5 * dark / (0.5 + dark)).epsilon(1e-9));
}

TEST_CASE("a dead battery is out of the ohmmeter's way") {
    // Expected, by hand: from post to post there is only feed, load and ground in series.
    Builder b = pump_and_lamp();
    const double dark = 28.8 * std::pow(0.004, 0.45), load = 0.5 * dark / (0.5 + dark);
    CHECK(ohms_between(b, "battery +", "battery -") == doctest::Approx(0.05 + load + 0.2).epsilon(1e-9));
}

TEST_CASE("an ohmmeter sees a fault's resistance and an open one") {
    // Expected, by hand: 3 ohm on the ground's 0.2, and no path at all.
    Builder b = pump_and_lamp();
    CHECK(ohms_between(b, "pump -", "battery -", {{4, FaultKind::high_resistance, 3.0}}) ==
          doctest::Approx(3.2).epsilon(1e-9));
    CHECK(std::isinf(ohms_between(b, "pump -", "battery -", {{4, FaultKind::open, 0}})));
}

TEST_CASE("a relay lets go in a dead circuit and its coil can be read") {
    // Expected, by hand: an open contact, and 85 ohm of coil.
    Builder b;
    b.add(battery(12.6, 0.009), "battery -", "battery +", "battery");
    Relay<> relay;
    relay.contact = from_si<Resistance<>>(0.003);
    relay.coil = from_si<Resistance<>>(85);
    b.add_relay(relay, "battery +", "87", "battery +", "battery -");
    b.add(conductor<Resistor<>>(2), "87", "battery -", "load");
    CHECK(ohms_between(b, "battery +", "battery -") == doctest::Approx(85).epsilon(1e-9));
    CHECK(ohms_between(b, "battery +", "87") == doctest::Approx(87).epsilon(1e-9));
}

TEST_CASE("slopes of an ohmmeter's reading agree with central differences") {
    // Central difference with a step of 1e-5; linear parts only, so 1e-6 of the reading is rounding.
    Builder b = pump_and_lamp();
    const auto with = [&](std::size_t part, double factor) {
        Builder moved = b;
        std::visit(
            [&](auto& law) {
                using Law = std::decay_t<decltype(law)>;
                if constexpr (std::is_same_v<Law, Motor<>>)
                    law.winding *= factor;
                else if constexpr (requires { law.resistance; })
                    law.resistance *= factor;
            },
            moved.circuit.parts[part].law);
        return ohms_between(moved, "battery +", "battery -");
    };
    const Network n = b.network();
    Workspace work;
    Setup dead = set_up_dead(n, 0);
    const Leads leads{b.point("battery +"), b.point("battery -")};
    std::vector<double> slopes;
    REQUIRE(read_ohms(n, dead, work, {&leads, 1}, &slopes));
    for (const std::size_t part : {1u, 2u, 3u, 4u}) {
        const double value = numbers_of(b.circuit.parts[part].law).values[0];
        const double difference = (with(part, 1 + 1e-5) - with(part, 1 - 1e-5)) / 2e-5;
        CHECK(slopes[static_cast<std::size_t>(n.first_number[part])] * value ==
              doctest::Approx(difference).epsilon(1e-6));
    }
}

TEST_CASE("a test lamp behind a high resistance stays dark") {
    // Expected, closed form: i = 12/28.8·(v/12)^0.55 (far above c) and v + 500·i = 12.6, solved here by
    // halving.
    Builder b;
    b.add(battery(12.6, 1e-5), "ground", "plus", "battery");
    b.add(conductor<Connector<>>(500), "plus", "end", "joint");
    b.add(conductor<Resistor<>>(1e9), "end", "ground", "leak");
    const Network n = b.network();
    Workspace work;
    Operating at;
    Setup setup = set_up(n, 0);
    REQUIRE(!operate(n, setup, work, at));
    Probe lamp{ProbeKind::voltage, b.point("end"), b.point("ground"), none, 28.8, 12.0};
    double low = 0, high = 12.6;
    for (int k = 0; k < 60; ++k) {
        const double v = 0.5 * (low + high), x = v / 12;
        const double amps = v / 28.8 * std::pow(x * x + 0.004 * 0.004, -0.225);
        (v + 500 * amps < 12.6 ? low : high) = v;
    }
    CHECK(read_probes(n, setup, at, work, {&lamp, 1})[0] == doctest::Approx(low).epsilon(1e-6));
    CHECK(low < 0.25); // and an unloaded voltmeter would read the full 12.6 V
}

TEST_CASE("ohms among points are those between each pair of leads, and stray as their slopes say") {
    // Expected: read_ohms for every pair, and the sum of its slopes' squares by the deviations; with the
    // ground open the battery's minus lies in a section of its own. Tolerance: rounding, 1e-9 of the reading.
    Builder b = pump_and_lamp();
    const Network n = b.network();
    std::vector<PointId> points;
    for (PointId p = 0; p < static_cast<PointId>(b.circuit.points.size()); ++p) points.push_back(p);
    const std::vector<double> deviations = strays_of(n).deviations;
    for (const std::vector<Fault>& faults :
         {std::vector<Fault>{}, std::vector<Fault>{{4, FaultKind::open, 0}}}) {
        Workspace work;
        Setup dead = set_up_dead(n, 0, faults);
        const auto among = read_ohms_among(n, dead, work, points, deviations);
        REQUIRE(among);
        for (std::size_t p = 0; p < points.size(); ++p)
            for (std::size_t q = 0; q < points.size(); ++q) {
                if (p == q) continue;
                CAPTURE(p);
                CAPTURE(q);
                Setup again = set_up_dead(n, 0, faults);
                const Leads leads{points[p], points[q]};
                std::vector<double> slopes;
                const auto ohms = read_ohms(n, again, work, {&leads, 1}, &slopes);
                REQUIRE(ohms);
                if (std::isinf(ohms->front())) {
                    CHECK(std::isinf(among->between(p, q)));
                    continue;
                }
                CHECK(among->between(p, q) == doctest::Approx(ohms->front()).epsilon(1e-9));
                double variance = 0;
                for (std::size_t j = 0; j < slopes.size(); ++j)
                    variance += slopes[j] * slopes[j] * deviations[j] * deviations[j];
                CHECK(among->variance_between(p, q) == doctest::Approx(variance).epsilon(1e-9));
            }
    }
}

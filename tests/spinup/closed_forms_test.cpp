// Starts whose answer is known in closed form, and published ones.
#include "solver/spinup/spinup.h"
#include "tests/network/builder.h"

#include <doctest/doctest.h>

#include <cmath>

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

Time<> seconds(double s) { return from_si<Time<>>(s); }
Probe amps_through(PartId p) { return {ProbeKind::current, none, none, p, 10e6}; }
Probe speed_of(PartId p) { return {ProbeKind::speed, none, none, p, 10e6}; }

SpinUp started(const Builder& b, const SpinUpRequest& request) {
    const Network network = b.network();
    auto run = spin_up(network, request);
    for (const Problem& p : run.problems()) MESSAGE(describe(p));
    REQUIRE(run);
    return *std::move(run);
}

/// The greatest difference between a column and f(t − closing), 0 before.
template <class F> double worst(const SpinUp& run, std::size_t column, double closing, const F& f) {
    double most = 0;
    for (std::size_t k = 0; k < run.seconds.size(); ++k) {
        const double t = run.seconds[k] - closing;
        if (std::abs(t) < 1e-9) continue; // before or after, by rounding
        most = std::max(most, std::abs(run.columns[column][k] - (t <= 0 ? 0 : f(t))));
    }
    return most;
}

Switch<> contact(double ohms) { return conductor<Switch<>>(ohms); }

} // namespace

TEST_CASE("a coil's current rises to its end with the time constant of inductance over resistance") {
    // Expected, closed form: i = E/R·(1 − exp(−t·R/L)), R all in series. 12 V, 4 ohm, 40 mH. Tolerance: what
    // was asked for, 1e-4 of the greatest value, and with 1e-8 asked for 1e-8 and the leak of 1 MΩ before.
    Builder b;
    Solenoid<> coil;
    coil.resistance = from_si<Resistance<>>(3.9);
    coil.inductance = from_si<Inductance<>>(0.04);
    b.add(battery(12, 0.05), "-", "+");
    b.add(contact(0.05), "+", "coil");
    const PartId p = b.add(coil, "coil", "-");
    SpinUpRequest request;
    request.duration = seconds(0.1);
    request.probes = {amps_through(p)};
    const auto exact = [](double t) { return 3 * (1 - std::exp(-t * 100)); };
    CHECK(worst(started(b, request), 0, 0.005, exact) < 1e-4 * 3);
    request.tolerance = 1e-9;
    CHECK(worst(started(b, request), 0, 0.005, exact) < 1e-8 * 3 + 12e-6);
}

TEST_CASE("a capacitor charges with the time constant of resistance times capacitance") {
    // Expected, closed form: i = E/R·exp(−t/(R·C)); 12 V, 2 ohm, 5 mF.
    Builder b;
    Capacitor<> capacitor;
    capacitor.capacitance = from_si<Capacitance<>>(5e-3);
    capacitor.resistance = from_si<Resistance<>>(0.4);
    b.add(battery(12, 0.1), "-", "+");
    b.add(contact(0.5), "+", "a");
    b.add(resistor(1.0), "a", "b");
    const PartId p = b.add(capacitor, "b", "-");
    SpinUpRequest request;
    request.duration = seconds(0.1);
    request.probes = {amps_through(p)};
    CHECK(worst(started(b, request), 0, 0.005, [](double t) { return 6 * std::exp(-t / 0.01); }) < 1e-4 * 6);
}

TEST_CASE("a motor with viscous drag follows its two poles") {
    // Expected: the control tutorials' DC motor speed example [CTM], reference/09_motor_examples.toml
    // speed_loop_tutorial: J = 0.01, b = 0.1, k = 0.01, R = 1, L = 0.5, 1 V; poles -2.0025 and -9.9975,
    // 0.0999 rad/s, settles to 2 % in 2.07 s. Closed form between: ω = ω∞·(1 − (p·exp(qt) − q·exp(pt))/(p −
    // q)).
    Builder b;
    Motor<> m;
    m.winding = from_si<Resistance<>>(0.9);
    m.constant = from_si<MotorConstant<>>(0.01);
    m.inductance = from_si<Inductance<>>(0.5);
    m.inertia = from_si<Inertia<>>(0.01);
    m.drag = from_si<ViscousDrag<>>(0.1);
    b.add(battery(1, 0.05), "-", "+");
    b.add(contact(0.05), "+", "m");
    const PartId p = b.add(m, "m", "-");
    SpinUpRequest request;
    request.duration = seconds(4);
    request.every = seconds(1e-3);
    request.probes = {speed_of(p), amps_through(p)};
    const SpinUp run = started(b, request);
    const double a = 0.1 / 0.01 + 1 / 0.5, d = (0.1 * 1 + 0.01 * 0.01) / (0.01 * 0.5);
    const double root = std::sqrt(a * a / 4 - d), slow = -a / 2 + root, fast = -a / 2 - root;
    const double end = 0.01 / (0.1 * 1 + 0.01 * 0.01);
    CHECK(std::abs(slow + 2.0025) < 5e-5);
    CHECK(std::abs(fast + 9.9975) < 5e-5);
    CHECK(worst(run, 0, 0.005, [&](double t) {
              return end * (1 - (slow * std::exp(fast * t) - fast * std::exp(slow * t)) / (slow - fast));
          }) < 1e-4 * end);
    double settled = 0;
    for (std::size_t k = 0; k < run.seconds.size(); ++k)
        if (std::abs(run.columns[0][k] - end) > 0.02 * end) settled = run.seconds[k] - 0.005;
    CHECK(std::abs(settled - 2.07) < 0.01);
    CHECK(std::abs(run.columns[1].back() - 0.99900) < 5e-4);
}

TEST_CASE("a large machine on a rising supply draws what the published trajectory says") {
    // Expected: the open machine library's reference result for its permanent-magnet start example [MSLREF],
    // reference/09_motor_examples.toml pm_100V_ramp_start: 0 V until 0.2 s, straight to 100 V at 1 s, load of
    // 63.66 N·m from 1.5 s. Tolerance: 1e-4 of 112 A and of 158 rad/s, in which its own note agrees.
    Builder b;
    Motor<> m;
    m.winding = from_si<Resistance<>>(0.04); // 0.05 ohm with the source's
    m.constant = from_si<MotorConstant<>>(0.6366197723675815);
    m.inductance = from_si<Inductance<>>(0.0015);
    m.inertia = from_si<Inertia<>>(0.30);
    m.load_torque = from_si<Torque<>>(1e-6); // the load comes as a brake of so many times this
    m.settings.law = LoadLaw::constant;
    m.settings.load_speed = from_si<Speed<>>(149.2);
    const PartId source = b.add(battery(0, 0.01), "-", "+");
    const PartId p = b.add(m, "+", "-");
    SpinUpRequest request;
    request.duration = seconds(2);
    request.closing = seconds(0);
    request.every = seconds(0.01);
    request.tolerance = 1e-6;
    request.courses = {{source,
                        {seconds(0), seconds(0.2), seconds(1.0)},
                        {from_si<Voltage<>>(0.0), from_si<Voltage<>>(0.0), from_si<Voltage<>>(100.0)}}};
    request.changes = {{seconds(1.5), {p, FaultKind::dragging, 63.66e6}}};
    request.probes = {amps_through(p), speed_of(p)};
    const SpinUp run = started(b, request);
    struct Row {
        std::size_t sample;
        double amps, speed;
    };
    for (const Row& row : {Row{30, 99.4587, 10.92907}, Row{50, 91.9153, 51.63637},
                           Row{100, 92.5274, 149.81254}, Row{110, -6.9311, 158.51842},
                           Row{160, 107.4864, 147.67128}, Row{200, 99.97434664, 149.2278452772}}) {
        CHECK(std::abs(run.columns[0][row.sample] - row.amps) < 1e-4 * 112);
        CHECK(std::abs(run.columns[1][row.sample] - row.speed) < 1e-4 * 158);
    }
}

TEST_CASE("a relay pulls in when its coil's current has risen to the mark") {
    // Expected, closed form: i = i∞ − (i∞ − i₀)·exp(−t/τ) = pull-in/R, i∞ = E/(R + r), τ = L/(R + r), and i₀
    // the leak of a megohm; 12 V, 90 + 10 ohm, 0.45 H, 7.2 V. Tolerance: 1e-8 s.
    Builder b;
    Relay<> relay;
    relay.contact = from_si<Resistance<>>(0.01);
    relay.coil = from_si<Resistance<>>(90.0);
    relay.settings.coil_inductance = from_si<Inductance<>>(0.45);
    b.add(battery(12, 0.01), "-", "+");
    b.add(contact(9.99), "+", "86");
    const PartId r = b.add_relay(relay, "+", "87", "86", "-");
    b.add(resistor(1e6), "87", "-"); // next to no load, that the battery's volts stay
    SpinUpRequest request;
    request.duration = seconds(0.05);
    request.tolerance = 1e-7;
    const SpinUp run = started(b, request);
    REQUIRE(run.events.size() == 3);
    CHECK(run.events[1].what == Happening::pulls_in);
    CHECK(run.events[1].part == r);
    const double expected = 0.005 - 0.45 / 100 * std::log((0.12 - 7.2 / 90) / (0.12 - 12e-6));
    CHECK(std::abs(si(run.events[1].at) - expected) < 1e-8);
}

TEST_CASE("a winding's current flows on through the arc of the contact that opens") {
    // Expected: after the contact opens L·di/dt = E − 60 V − i·R, so i = (i₀ + 48/R)·exp(−tR/L) − 48/R until
    // it is out. 12 V, R = 4 ohm with the source's, 40 mH, plus the arc's own 0.1 ohm; from 3 A.
    Builder b;
    Solenoid<> coil;
    coil.resistance = from_si<Resistance<>>(3.9);
    coil.inductance = from_si<Inductance<>>(0.04);
    b.add(battery(12, 0.1), "-", "+");
    b.add(contact(1e-5), "+", "coil");
    const PartId p = b.add(coil, "coil", "-");
    SpinUpRequest request;
    request.duration = seconds(0.31);
    request.closing = seconds(0);
    request.pulse = seconds(0.3);
    request.tolerance = 1e-7;
    request.probes = {amps_through(p)};
    const SpinUp run = started(b, request);
    for (std::size_t k = 3001; k < run.seconds.size(); ++k) {
        const double t = run.seconds[k] - 0.3, r = 4.1, drive = 48 / r;
        const double arc = (12 / 4.00001 + drive) * std::exp(-t * r / 0.04) - drive;
        CHECK(std::abs(run.columns[0][k] - std::max(arc, 0.0)) < 3e-4);
    }
}

TEST_CASE("a lamp starts at a twelfth of its resistance and has settled after 50 ms") {
    // Expected: 21 W at 12 V, cold 0.571 ohm and 21 A at the first instant (reference/12_lamps.csv, ratio 12,
    // tolerance 2 % for c and the source); settled 1.75 A. Within 5 % after 50 ms: common practice, no
    // source.
    Builder b;
    Lamp<> lamp;
    lamp.settings.rated = from_si<Voltage<>>(12.0);
    lamp.settings.power = from_si<Power<>>(21.0);
    lamp.resistance = from_si<Resistance<>>(144.0 / 21);
    b.add(battery(12, 1e-4), "-", "+");
    b.add(contact(1e-4), "+", "lamp");
    const PartId p = b.add(lamp, "lamp", "-");
    SpinUpRequest request;
    request.duration = seconds(1);
    request.closing = seconds(0);
    request.probes = {amps_through(p)};
    const SpinUp run = started(b, request);
    const auto& amps = run.columns[0];
    CHECK(std::abs(*std::max_element(amps.begin(), amps.end()) - 21) < 0.02 * 21);
    CHECK(amps[500] < 1.05 * 1.75);
    CHECK(amps[200] > 1.05 * 1.75);
    CHECK(std::abs(amps.back() - 1.75) < 1e-3);
}

TEST_CASE("a fuse at twice its rating opens within the standard's band") {
    // Expected: ISO 8820-3 (from memory, reference/03_fuses.csv): 0.15 s to 5 s at 200 %.
    Builder b;
    Fuse<> fuse;
    fuse.cold = from_si<Resistance<>>(0.1);
    fuse.settings.rating = from_si<Current<>>(10.0);
    b.add(battery(12, 0.1), "-", "+");
    b.add(contact(0.1), "+", "a");
    b.add(fuse, "a", "b");
    b.add(resistor(0.3), "b", "-");
    SpinUpRequest request;
    request.duration = seconds(6);
    request.closing = seconds(0);
    request.longest_step = seconds(0.01);
    const SpinUp run = started(b, request);
    REQUIRE(run.fuses.size() == 1);
    REQUIRE(run.fuses[0].opens_earliest);
    REQUIRE(run.fuses[0].opens_latest);
    CHECK(std::abs(si(*run.fuses[0].opens_earliest) - 0.15) < 0.011);
    CHECK(std::abs(si(*run.fuses[0].opens_latest) - 5) < 0.011);
}

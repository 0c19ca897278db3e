// Working points by hand, by symmetry and by another formulation; and circuits that have none.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include <Eigen/LU>

#include "solver/network/measure.h"
#include "solver/network/predict.h"
#include "tests/network/random_circuit.h"
#include "tests/network/worked.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

Relay<> relay_of(double coil_ohms) {
    Relay<> r;
    r.contact = from_si<Resistance<>>(3e-3);
    r.coil = from_si<Resistance<>>(coil_ohms);
    return r;
}

} // namespace

TEST_CASE("node volts agree with a dense solve of the full modified nodal equations") {
    // Independent of the program's own form: batteries and their currents as unknowns of their own, Eigen's
    // FullPivLU. Linear circuits of wires, joints, resistors and batteries. Tolerance: 1e-9 of the supply.
    constexpr std::uint64_t seed = 20260503;
    MESSAGE("seed ", seed);
    std::mt19937_64 random(seed);
    const auto uniform = [&](double low, double high) {
        return std::uniform_real_distribution<>(low, high)(random);
    };
    Workspace work;
    Operating at;
    for (int k = 0; k < 1000; ++k) {
        Builder b;
        const int points = 4 + static_cast<int>(random() % 20);
        const auto name = [](int p) { return std::string("p") += std::to_string(p); };
        b.add(battery(uniform(11, 14), uniform(5e-3, 0.1)), name(0), name(1));
        for (int p = 2; p < points; ++p) // a tree, then as many chords again: everything hangs together
            b.add(wire(std::exp(uniform(-7, 3))), name(p),
                  name(static_cast<int>(random() % static_cast<unsigned>(p))));
        b.add(resistor(uniform(1, 10)), name(1), name(0));
        for (int c = 0; c < points; ++c) {
            const int from = static_cast<int>(random() % static_cast<unsigned>(points));
            const int to = static_cast<int>(random() % static_cast<unsigned>(points));
            if (from != to) b.add(resistor(std::exp(uniform(-3, 6))), name(from), name(to));
        }
        if (k % 3 == 0) b.add(battery(uniform(11, 14), uniform(5e-3, 0.1)), name(0), name(points - 1));
        const Network n = b.network();
        Setup setup = set_up(n, 0);
        REQUIRE_FALSE(operate(n, setup, work, at));

        std::vector<std::size_t> sources;
        for (std::size_t p = 0; p < setup.parts.size(); ++p)
            if (std::holds_alternative<Battery<>>(setup.parts[p])) sources.push_back(p);
        const Eigen::Index nodes = n.nodes, size = nodes + static_cast<Eigen::Index>(sources.size());
        Eigen::MatrixXd a = Eigen::MatrixXd::Zero(size, size);
        Eigen::VectorXd rhs = Eigen::VectorXd::Zero(size);
        for (std::size_t p = 0; p < setup.parts.size(); ++p) {
            if (std::holds_alternative<Battery<>>(setup.parts[p])) continue;
            const double g = 1 / numbers_of(setup.parts[p]).values[0];
            const Branch& e = n.branches[p];
            if (e.a != ground_node) a(e.a, e.a) += g;
            if (e.b != ground_node) a(e.b, e.b) += g;
            if (e.a != ground_node && e.b != ground_node) a(e.a, e.b) -= g, a(e.b, e.a) -= g;
        }
        for (std::size_t s = 0; s < sources.size(); ++s) {
            const auto& source = std::get<Battery<>>(setup.parts[sources[s]]);
            const Branch& e = n.branches[sources[s]];
            const Eigen::Index row = nodes + static_cast<Eigen::Index>(s);
            if (e.a != ground_node) a(e.a, row) += 1, a(row, e.a) += 1;
            if (e.b != ground_node) a(e.b, row) -= 1, a(row, e.b) -= 1;
            a(row, row) = -si(source.resistance);
            rhs[row] = -si(source.emf);
        }
        const Eigen::VectorXd x = a.fullPivLu().solve(rhs);
        for (Eigen::Index node = 0; node < nodes; ++node)
            CHECK(std::abs(x[node] - at.node_volts[static_cast<std::size_t>(node)]) < 1e-9 * 14);
        for (std::size_t s = 0; s < sources.size(); ++s)
            CHECK(at.branch_amps[sources[s]] ==
                  doctest::Approx(x[nodes + static_cast<Eigen::Index>(s)]).epsilon(1e-7));
    }
}

TEST_CASE("a relay that shorts out its own coil chatters and the message names it") {
    // By hand: open, the coil gets 12 V behind 20 ohm and pulls in; closed, its contact lies across it.
    Builder b;
    b.add(battery(12, 0.01), "gnd", "+");
    b.add(resistor(20), "+", "node", "dropping resistor");
    b.add_relay(relay_of(85), "node", "gnd", "node", "gnd", "buzzer");
    const Network n = b.network();
    Setup setup = set_up(n, 0);
    Workspace work;
    Operating at;
    const auto problem = operate(n, setup, work, at);
    REQUIRE(problem);
    CHECK(problem->what ==
          "state \"run\": relay \"buzzer\" chatters: closed, it takes away its own coil's voltage; open, it "
          "gets it back");
    CHECK(problem->write == "check where its coil is fed from, or hold it with closed = [...] in the state");
}

TEST_CASE("a relay fed through its own contact stays open until it is held closed") {
    // By hand: nothing reaches its coil until it closes, and closed it holds itself.
    Builder b;
    b.add(battery(12, 0.01), "gnd", "+");
    const PartId latch = b.add_relay(relay_of(85), "+", "out", "out", "gnd", "latch");
    b.add(resistor(10), "out", "gnd");
    b.circuit.states.push_back(b.circuit.states.front());
    b.circuit.states.back().closed = {latch};
    const Network n = b.network();
    Workspace work;
    Operating at;
    for (const auto& [state, volts] : {std::pair{0, 0.0}, {1, 12.0}}) {
        Setup setup = set_up(n, state);
        REQUIRE_FALSE(operate(n, setup, work, at));
        CHECK(at.volts(n, b.point("out")) == doctest::Approx(volts).epsilon(0.01));
    }
}

TEST_CASE("a meter reads nothing between a floating section and the rest") {
    // By hand: with the switch open the resistor hangs free, and the meter is the only path.
    Builder b;
    b.add(battery(12, 0.01), "gnd", "+");
    b.add(conductor<Switch<>>(10e-3), "+", "a");
    b.add(resistor(5), "a", "b");
    b.circuit.states.front().closed.clear();
    const Network n = b.network();
    Setup setup = set_up(n, 0);
    Workspace work;
    Operating at;
    REQUIRE_FALSE(operate(n, setup, work, at));
    const std::vector<Probe> probes{{ProbeKind::voltage, b.point("a"), b.point("gnd"), none, 10e6},
                                    {ProbeKind::voltage, b.point("+"), b.point("b"), none, 10e6},
                                    {ProbeKind::voltage, b.point("+"), b.point("gnd"), none, 10e6}};
    const std::vector<double> read = read_probes(n, setup, at, work, probes);
    CHECK(read[0] == 0);
    CHECK(read[1] == 0);
    CHECK(read[2] == doctest::Approx(12).epsilon(1e-6));
    CHECK(floating_points(n, at, work)[static_cast<std::size_t>(b.point("b"))] != none);
}

TEST_CASE("a ten megohm meter on a one megohm source reads 9.09 percent low") {
    // Published loading figure [DMM], computed there: −9.0909 %.
    Builder b;
    b.add(battery(12, 1e6), "gnd", "+");
    const Network n = b.network();
    Setup setup = set_up(n, 0);
    Workspace work;
    Operating at;
    REQUIRE_FALSE(operate(n, setup, work, at));
    const std::vector<Probe> probe{{ProbeKind::voltage, b.point("+"), b.point("gnd"), none, 10e6}};
    CHECK(read_probes(n, setup, at, work, probe)[0] == doctest::Approx(12 * (1 - 0.090909)).epsilon(1e-6));
}

TEST_CASE("a voltmeter across a blown fuse reads the supply through a motor at rest") {
    // By hand: 1.26 microamperes turn no shaft, so the motor is its winding: 12.6·10⁷/(10⁷ + 0.5 + 0.01) V,
    // 0.64 microvolts below the supply. Brushes with a drop of 1 V below a knee of 2 A are another 0.5 ohm.
    // The lamp, 12 V and 2 W, has 72 ohms: 12.6·72/72.5 V at least, and its filament a little more at more
    // than its volts.
    for (const double brush_volts : {0.0, 1.0}) {
        Builder b;
        b.add(battery(12.6, 0.01), "gnd", "+");
        Fuse<> sound;
        sound.cold = from_si<Resistance<>>(5e-3);
        const PartId fuse = b.add(sound, "+", "m");
        Motor<> motor = nameplate_motor(12, 9, 24, 3400, LoadLaw::quadratic);
        motor.brush_drop = from_si<Voltage<>>(brush_volts);
        motor.settings.brush_knee = from_si<Current<>>(2.0);
        const PartId m = b.add(motor, "m", "gnd");
        const Worked w(b, {{fuse, FaultKind::open, 0}});
        REQUIRE_FALSE(w.problem);
        Workspace work;
        const std::vector<Probe> probes{{ProbeKind::voltage, b.point("+"), b.point("m"), none, 10e6},
                                        {ProbeKind::voltage, b.point("+"), b.point("m"), none, 72, 12},
                                        {ProbeKind::speed, none, none, m}};
        const std::vector<double> read = read_probes(w.network, w.setup, w.at, work, probes);
        const double series = 0.01 + 0.5 + brush_volts / 2;
        CHECK(12.6 - read[0] == doctest::Approx(12.6 * series / 10e6).epsilon(1e-6));
        CHECK(read[1] > 12.6 * 72 / (72 + series));
        CHECK(read[1] < 12.6);
        CHECK(read[2] == 0);
    }
}

TEST_CASE("the order of parts changes nothing") {
    // Symmetry. Tolerance: 1e-9 V, within which the Newton steps settle.
    constexpr std::uint64_t seed = 20260504;
    MESSAGE("seed ", seed);
    std::mt19937_64 random(seed);
    Workspace work;
    Operating at, other;
    for (int k = 0; k < 200; ++k) {
        RandomCircuit made = random_circuit(random, 25, false);
        made.circuit.states.front() = {
            .name = "run", .closed = {}, .locked = {}, .bridged = {}, .removed = {}, .place = {}};
        Circuit turned = made.circuit;
        std::reverse(turned.parts.begin(), turned.parts.end());
        const Network n = analyse(std::make_shared<const Circuit>(made.circuit));
        const Network m = analyse(std::make_shared<const Circuit>(turned));
        Setup a = set_up(n, 0), z = set_up(m, 0);
        REQUIRE_FALSE(operate(n, a, work, at));
        REQUIRE_FALSE(operate(m, z, work, other));
        for (PointId p = 0; p < static_cast<PointId>(turned.points.size()); ++p)
            CHECK(std::abs(at.volts(n, p) - other.volts(m, p)) < 1e-9);
    }
}

TEST_CASE("a charger at its limit carries a constant-power load beside a worn-out battery") {
    // A fault mended: the load's slope outweighs the battery's below 8.4 V, and no working point was found.
    // By hand: the charger regulates, so v = 14.16 − 5 mΩ·i with i = (v − 12.51)/8.034 Ω + 9.143 W/v, a
    // quadratic in v. Tolerance: rounding, and the megohm's leak of the load (14 µA, 70 nV).
    Builder b;
    b.add(battery(12.51, 8.034), "gnd", "+");
    Charger<> c;
    c.regulated = from_si<Voltage<>>(14.16);
    c.limit = from_si<Current<>>(18.0);
    c.droop = from_si<Resistance<>>(5e-3);
    b.add(c, "gnd", "+");
    Electronic<> e;
    e.power = from_si<Power<>>(9.143);
    e.settings.cut_out = from_si<Voltage<>>(6.0);
    e.settings.knee = from_si<Voltage<>>(8.4);
    b.add(e, "+", "gnd");
    const Worked w(b);
    REQUIRE_FALSE(w.problem);
    const double a = 1 + 5e-3 / 8.034, half = (14.16 + 5e-3 * 12.51 / 8.034) / (2 * a);
    const double volts = half + std::sqrt(half * half - 5e-3 * 9.143 / a);
    CHECK(std::abs(w.volts("+") - volts) < 1e-7);
}

// Each law in time: its slopes, its rest, its step's order, its meter.
#include "solver/network/kernel.h"
#include "solver/spinup/instrument.h"
#include "solver/spinup/stepper.h"
#include "tests/network/builder.h"

#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

Commutating turning_motor() {
    Motor<> m = nameplate_motor(12, 9, 24, 3400, LoadLaw::quadratic);
    m.settings.bars = 8;
    m.brush_drop = from_si<Voltage<>>(0.8);
    m.settings.brush_knee = from_si<Current<>>(1.0);
    return commutating(m);
}

Filament bulb() {
    Lamp<> lamp;
    lamp.settings.rated = from_si<Voltage<>>(12.0);
    lamp.settings.power = from_si<Power<>>(21.0);
    lamp.resistance = from_si<Resistance<>>(144.0 / 21);
    return filament(lamp);
}

} // namespace

TEST_CASE("every law that stores has the slopes of its central differences") {
    // Expected: central differences, step 1e-6 of each input; their own error is about 1e-8 of the row.
    struct At {
        TimeLaw law;
        double volts;
        InTime own;
    };
    RelayCoil coil{from_si<Resistance<>>(85.0), from_si<Inductance<>>(0.4)};
    for (const At& at :
         {At{turning_motor(), 11.5, {12, 290, 0.3}}, At{turning_motor().motor, 11.5, {12, 290, 0}},
          At{bulb(), 9.0, {0.6, 0, 0}}, At{coil, 7.0, {0.05, 0, 0}}}) {
        TimeSlopes s;
        look(at.law, at.volts, at.own.data(), s);
        const int n = own_count(at.law);
        for (int j = -1; j < n; ++j) {
            InTime up = at.own, down = at.own;
            double v_up = at.volts, v_down = at.volts;
            double& high = j < 0 ? v_up : up[static_cast<std::size_t>(j)];
            double& low = j < 0 ? v_down : down[static_cast<std::size_t>(j)];
            const double step = 1e-6 * std::max(1e-3, std::abs(high));
            high += step;
            low -= step;
            TimeValue a, b;
            look(at.law, v_up, up.data(), a);
            look(at.law, v_down, down.data(), b);
            for (int k = 0; k < n; ++k) {
                const auto K = static_cast<std::size_t>(k);
                const double slope = j < 0 ? s.row_v[K] : s.row_x[K][static_cast<std::size_t>(j)];
                CHECK(std::abs((a.row[K] - b.row[K]) / (2 * step) - slope) < 1e-6 * (1 + std::abs(slope)));
            }
            const double slope = j < 0 ? s.amps_v : s.amps_x[static_cast<std::size_t>(j)];
            CHECK(std::abs((a.amps - b.amps) / (2 * step) - slope) < 1e-6 * (1 + std::abs(slope)));
        }
    }
}

TEST_CASE("a motor's resistance and constant have their plain values on the mean over a turn") {
    // Expected: the integral of the envelope over a bar is 1, by hand; here by the midpoint rule, 1e-6.
    Commutating c = turning_motor();
    double ohms = 0, constant = 0;
    const int points = 8000;
    for (int k = 0; k < points; ++k) {
        const double angle = (k + 0.5) / points * 2 * std::numbers::pi;
        c.sector = static_cast<int>(angle / c.pitch());
        const Motor<> m = motor_at(c, angle);
        ohms += si(m.winding) / points;
        constant += si(m.constant) / points;
    }
    CHECK(std::abs(ohms / si(c.motor.winding) - 1) < 1e-6);
    CHECK(std::abs(constant / si(c.motor.constant) - 1) < 1e-6);
}

TEST_CASE("an odd number of bars gives twice as many ripples a turn") {
    // Expected: lcm(2; K) [RIP2], reference/11_commutation_ripple.csv: 3 gives 6, 5 gives 10, 8 gives 8.
    CHECK(ripples_per_turn(3) == 6);
    CHECK(ripples_per_turn(5) == 10);
    CHECK(ripples_per_turn(8) == 8);
}

TEST_CASE("a settled filament draws what the lamp's DC text says") {
    // Expected: at y = ((v/V)² + c²)^(3/16) the heat row is 0 and the current that of parts/lamp.h.
    Lamp<> lamp;
    lamp.settings.rated = from_si<Voltage<>>(12.0);
    lamp.settings.power = from_si<Power<>>(21.0);
    lamp.resistance = from_si<Resistance<>>(144.0 / 21);
    for (const double v : {0.05, 1.0, 6.0, 12.0, 14.4}) {
        const double y = std::pow(v * v / 144 + dark_filament * dark_filament, 3.0 / 16);
        TimeValue at;
        look(TimeLaw(filament(lamp)), v, &y, at);
        CHECK(std::abs(at.row[0]) < 1e-12 * 21);
        const double amps = line_at(lamp, v, {}).amps;
        CHECK(std::abs(at.amps - amps) < 1e-12 * amps);
    }
}

TEST_CASE("halving the step divides a turning motor's error by sixteen") {
    // Expected: order 4, Rosenbrock with exact slopes; within a bar, behind 10 mΩ, so that Kirchhoff's
    // current law holds at every instant. Against 1024 steps.
    System system;
    system.nodes = 1;
    system.owns = 3;
    system.ports.push_back({turning_motor(), 0, ground_node, 0, 3, 0, false});
    const std::vector<Edge> edges{{0, ground_node}, {0, ground_node}};
    system.plan = plan_elimination(1, edges);
    system.base_siemens = {0, 100};
    system.base_amps = {1200};
    system.scale = {1, 1, 1};
    const auto end_of = [&](int steps) {
        Stepper stepper(system);
        Moment at{{12}, {9, 300, 0.05}};
        REQUIRE(stepper.settle(at));
        for (int k = 0; k < steps; ++k) {
            stepper.begin(at);
            stepper.attempt(at, 2e-3 / steps);
            at = stepper.end;
        }
        return at;
    };
    const Moment best = end_of(1024);
    double before = 0;
    for (const int steps : {4, 8, 16, 32}) {
        const Moment at = end_of(steps);
        const double error = std::abs(at.own[0] - best.own[0]);
        MESSAGE(steps << " steps: current off by " << error << " A, volts by "
                      << std::abs(at.volts[0] - best.volts[0]));
        if (before > 0) CHECK(std::log2(before / error) > 3.7);
        if (before > 0) CHECK(std::log2(before / error) < 4.5);
        before = error;
    }
}

TEST_CASE("the continuous answer between the ends of a step is of order three") {
    // Expected: the error in the middle of one step falls as h⁴ or faster: 16 a halving.
    System system;
    system.nodes = 1;
    system.owns = 3;
    system.ports.push_back({turning_motor(), 0, ground_node, 0, 3, 0, false});
    const std::vector<Edge> edges{{0, ground_node}, {0, ground_node}};
    system.plan = plan_elimination(1, edges);
    system.base_siemens = {0, 100};
    system.base_amps = {1200};
    system.scale = {1, 1, 1};
    Stepper stepper(system);
    Moment start{{12}, {9, 300, 0.05}};
    REQUIRE(stepper.settle(start));
    const auto middle = [&](double h, int parts) {
        Moment at = start;
        for (int k = 0; k < parts; ++k) {
            stepper.begin(at);
            stepper.attempt(at, h / parts);
            if (parts > 1) at = stepper.end;
        }
        if (parts > 1) return at.own[0];
        stepper.prepare_dense(at);
        return stepper.own_at(at, 0, 0.5);
    };
    double before = 0;
    for (const double h : {1e-4, 5e-5, 2.5e-5}) {
        const double error = std::abs(middle(h, 1) - middle(h / 2, 64));
        if (before > 0) CHECK(std::log2(before / error) > 3.6);
        before = error;
    }
}

TEST_CASE("a meter lags, is off, rounds and is noisy as told") {
    // Expected: one pole fed with a step reaches 1 − 1/e after its lag (the trace runs straight over one
    // sample, which shifts it by half of one); the deviation of n samples of noise s lies within 5·s/√(2n).
    std::vector<double> step(2001, 1.0);
    step[0] = 0;
    measure(step, 1e-5, {0, 0, 0, 1e-3}, 1);
    CHECK(std::abs(step[100] - (1 - std::exp(-0.995))) < 1e-5);
    std::vector<double> flat(20000, 5.0);
    measure(flat, 1e-4, {0.25, 0.1, 0, 0}, 7);
    double mean = 0, square = 0;
    for (const double x : flat) mean += x / 20000;
    for (const double x : flat) square += (x - mean) * (x - mean) / 20000;
    CHECK(std::abs(mean - 5.25) < 5 * 0.1 / std::sqrt(20000.0));
    CHECK(std::abs(std::sqrt(square) - 0.1) < 5 * 0.1 / std::sqrt(40000.0));
    std::vector<double> coarse{1.234, -0.66};
    measure(coarse, 1, {0, 0, 0.1, 0}, 1);
    CHECK(std::abs(coarse[0] - 1.2) < 1e-12);
    CHECK(std::abs(coarse[1] + 0.7) < 1e-12);
}

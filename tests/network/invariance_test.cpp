// What must not change a working point, or the steps to it: the order of the parts and their number.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "tests/network/random_circuit.h"
#include "tests/network/times.h"
#include "tests/network/worked.h"

using namespace lostvolts;
using namespace lostvolts::testing;

TEST_CASE("shuffled parts give the same volts to a part in 1e12") {
    // Symmetry. Tolerance: 1e-12 of the greatest volts; rounding along another order of elimination.
    constexpr std::uint64_t seed = 20261127;
    MESSAGE("seed ", seed);
    std::mt19937_64 random(seed);
    double worst = 0;
    for (int k = 0; k < times(300); ++k) {
        RandomCircuit made = random_circuit(random, 8 + static_cast<int>(random() % 40), true);
        std::vector<std::size_t> order(made.circuit.parts.size());
        std::iota(order.begin(), order.end(), std::size_t{0});
        std::shuffle(order.begin(), order.end(), random);
        Circuit shuffled = made.circuit;
        std::vector<PartId> place(order.size());
        for (std::size_t p = 0; p < order.size(); ++p) {
            shuffled.parts[p] = made.circuit.parts[order[p]];
            place[order[p]] = static_cast<PartId>(p);
        }
        for (auto* list : {&shuffled.states[0].closed, &shuffled.states[0].locked})
            for (PartId& p : *list) p = place[static_cast<std::size_t>(p)];
        std::vector<Fault> faults = made.faults;
        for (Fault& f : faults) f.part = place[static_cast<std::size_t>(f.part)];
        const Worked a(std::make_shared<const Circuit>(made.circuit), made.faults);
        const Worked z(std::make_shared<const Circuit>(shuffled), faults);
        REQUIRE(a.problem.has_value() == z.problem.has_value());
        if (a.problem) continue;
        double most = 1, apart = 0;
        for (const Point& point : made.circuit.points) {
            most = std::max(most, std::abs(a.volts(point.name)));
            apart = std::max(apart, std::abs(a.volts(point.name) - z.volts(point.name)));
        }
        CHECK_MESSAGE(apart <= 1e-12 * most, "circuit ", k);
        worst = std::max(worst, apart / most);
    }
    MESSAGE("worst ", worst);
}

TEST_CASE("the steps to a working point do not grow with the number of loads, fed or dead") {
    // A fault mended: loads behind open contacts started from their nameplates and were walked to rest one by
    // one, so 2,500 parts took a thousand steps. By symmetry every branch is alike; the steps have to be too.
    std::vector<int> steps;
    for (const int branches : {4, 40, 400, 4000}) {
        Builder b;
        for (int k = 0; k < branches; ++k) {
            const std::string n = std::to_string(k);
            const std::string plus = "+ " + n, load = "load " + n;
            b.circuit.points.push_back({.name = plus, .note = {}}); // known to be new: no search
            const auto at = static_cast<PointId>(b.circuit.points.size() - 1);
            b.circuit.points.push_back({.name = load, .note = {}});
            if (k == 0) b.circuit.points.push_back({.name = "gnd", .note = {}}), b.circuit.ground = 2;
            const auto add = [&](AnyPart law, PointId from, PointId to) {
                Part part;
                part.law = std::move(law);
                part.from = from;
                part.to = to;
                b.circuit.parts.push_back(std::move(part));
            };
            add(battery(12.6, 0.01), 2, at);
            add(conductor<Switch<>>(10e-3), at, at + 1); // every other one is open
            if (k % 2)
                b.circuit.states.front().closed.push_back(static_cast<PartId>(b.circuit.parts.size() - 1));
            add(nameplate_motor(12, 9, 24, 3400, LoadLaw::quadratic), at + 1, 2);
            Lamp<> lamp;
            lamp.settings.rated = from_si<Voltage<>>(12.0);
            lamp.resistance = from_si<Resistance<>>(144 / 21.);
            add(lamp, at + 1, 2);
        }
        const Worked w(std::make_shared<const Circuit>(b.circuit));
        REQUIRE_FALSE(w.problem);
        CHECK(w.at.largest_leftover_amps <= 1e-9 * w.at.largest_branch_amps);
        steps.push_back(w.at.iterations);
    }
    CHECK(steps.front() <= 10);
    CHECK(std::count(steps.begin(), steps.end(), steps.front()) == 4);
}

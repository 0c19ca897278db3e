// Sensitivities against central differences, for every number of every part and every kind of probe.
#include <doctest/doctest.h>

#include <cmath>

#include "solver/network/measure.h"
#include "tests/network/random_circuit.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

constexpr std::uint64_t seed = 20260502;

/// The part with its number j multiplied by (1 + share).
void scale_number(AnyPart& part, int j, double share) {
    std::visit(
        [&](auto& p) {
            int k = 0;
            const auto scale = [&](const auto& parameter) {
                if (k++ == j) p.*(parameter.member) *= 1 + share;
            };
            std::apply([&](const auto&... parameter) { (scale(parameter), ...); },
                       std::decay_t<decltype(p)>::parameters());
        },
        part);
}

std::vector<Probe> probes_for(const Network& n, std::mt19937_64& random) {
    const Circuit& c = *n.circuit;
    std::vector<Probe> probes;
    for (int k = 0; k < 6; ++k) {
        const auto point = [&] { return static_cast<PointId>(random() % c.points.size()); };
        probes.push_back({ProbeKind::voltage, point(), point(), none, 1e15});
        probes.push_back(
            {ProbeKind::current, none, none, static_cast<PartId>(random() % c.parts.size()), 1e15});
    }
    for (std::size_t p = 0; p < c.parts.size(); ++p)
        if (std::holds_alternative<Motor<>>(c.parts[p].law))
            probes.push_back({ProbeKind::speed, none, none, static_cast<PartId>(p), 1e15});
    return probes;
}

} // namespace

TEST_CASE("every slope of every reading agrees with a central difference") {
    // Central difference with a step of 1e-5 of the number; tolerance 2e-4 of the largest effect that a whole
    // number has on that reading, which leaves room for the difference's own error and for the meter's
    // loading, whose slope is neglected.
    MESSAGE("seed ", seed);
    std::mt19937_64 random(seed);
    Workspace work;
    Operating at;
    int compared = 0;
    for (int k = 0; k < 150; ++k) {
        const RandomCircuit made = random_circuit(random, 8 + static_cast<int>(random() % 20));
        const Network n = analyse(std::make_shared<const Circuit>(made.circuit));
        const Setup setup = set_up(n, 0, made.faults);
        Setup solved = setup;
        if (operate(n, solved, work, at)) continue;
        const std::vector<Probe> probes = probes_for(n, random);
        std::vector<double> slopes;
        const std::vector<double> values = read_probes_with_slopes(n, solved, at, work, probes, slopes);
        for (std::size_t p = 0; p < setup.parts.size(); ++p) {
            const PartNumbers numbers = numbers_of(setup.parts[p]);
            for (std::size_t j = 0; j < numbers.values.size(); ++j) {
                if (numbers.values[j] == 0) continue;
                constexpr double step = 1e-5;
                std::vector<double> moved[2];
                bool same_stretch = true;
                for (const int side : {0, 1}) {
                    Setup shifted = setup;
                    scale_number(shifted.parts[p], static_cast<int>(j), side ? step : -step);
                    Operating there;
                    same_stretch = same_stretch && !operate(n, shifted, work, there);
                    for (std::size_t q = 0; same_stretch && q < setup.parts.size();
                         ++q) // a kink in between has no slope
                        same_stretch = region_of(setup.parts[q], 0, there.own[q]) ==
                                       region_of(setup.parts[q], 0, at.own[q]);
                    if (same_stretch) moved[side] = read_probes(n, shifted, there, work, probes);
                }
                if (!same_stretch) continue;
                for (std::size_t r = 0; r < probes.size(); ++r) {
                    const double by_difference = (moved[1][r] - moved[0][r]) / (2 * step);
                    const double by_slope =
                        slopes[(static_cast<std::size_t>(n.first_number[p]) + j) * probes.size() + r] *
                        numbers.values[j];
                    const double scale = std::max({std::abs(by_difference), std::abs(values[r]) * 1e-3,
                                                   1e-2}); // 1e-2: rounding over the step
                    CHECK_MESSAGE(std::abs(by_difference - by_slope) < 2e-4 * scale, "circuit ", k, " part ",
                                  p, " ", kind_of(setup.parts[p]), " number ", numbers.names[j], " probe ", r,
                                  " kind ", static_cast<int>(probes[r].kind), ": ", by_difference,
                                  " against ", by_slope);
                    ++compared;
                }
            }
        }
    }
    MESSAGE(compared, " slopes compared");
    CHECK(compared > 40000);
}

TEST_CASE("what two points share in ohms makes of their volts what a lamp between them shows") {
    // Expected: read_probes with the lamp itself between the two points, by its own adjoint. Points that
    // float apart from one another or from ground are left out: there the lamp is the only path. Tolerance:
    // 1e-9 of the volts that are there.
    MESSAGE("seed ", seed);
    std::mt19937_64 random(seed);
    Workspace work;
    Operating at;
    int compared = 0;
    for (int k = 0; k < 60; ++k) {
        const RandomCircuit made = random_circuit(random, 8 + static_cast<int>(random() % 20));
        const Network n = analyse(std::make_shared<const Circuit>(made.circuit));
        Setup solved = set_up(n, 0, made.faults);
        if (operate(n, solved, work, at)) continue;
        std::vector<Probe> probes;
        for (PointId p = 0; p < static_cast<PointId>(n.circuit->points.size()); ++p)
            probes.push_back({ProbeKind::voltage, p, n.circuit->ground, none, 1e15});
        std::vector<double> slopes, shared;
        const std::vector<double> volts =
            read_probes_with_slopes(n, solved, at, work, probes, slopes, &shared);
        const std::vector<int> sections = floating_points(n, at, work);
        const std::size_t count = probes.size();
        for (std::size_t a = 0; a < count; ++a)
            for (std::size_t b = a + 1; b < count; ++b) {
                if (sections[a] != none || sections[b] != none) continue;
                for (const double filament : {0.0, 12.0}) {
                    const Probe lamp{ProbeKind::voltage, probes[a].red, probes[b].red, none, 28.8, filament};
                    const double open = volts[a] - volts[b],
                                 ohms = shared[a * count + a] + shared[b * count + b] -
                                        shared[a * count + b] - shared[b * count + a],
                                 shown = read_probes(n, solved, at, work, std::span(&lamp, 1)).front();
                    CHECK(std::abs(open * share_left(lamp, open, ohms) - shown) <
                          1e-9 * (1 + std::abs(volts[a]) + std::abs(volts[b])));
                    ++compared;
                }
            }
    }
    CHECK(compared > 1000);
}

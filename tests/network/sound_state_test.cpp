// Readings with faults in, from the sound state's one factorisation, against the whole circuit solved anew.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "solver/network/sound_state.h"
#include "tests/network/random_harness.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

constexpr std::uint64_t seed = 20261126;

std::vector<Probe> probes_for(const Network& n, Random& random) {
    const Circuit& c = *n.circuit;
    const auto point = [&] { return below(random, static_cast<int>(c.points.size())); };
    std::vector<Probe> probes;
    for (int k = 0; k < 4; ++k) probes.push_back({ProbeKind::voltage, point(), point(), none, 10e6});
    probes.push_back({ProbeKind::voltage, point(), point(), none, 72, 12}); // a test lamp
    for (int k = 0; k < 4; ++k)
        probes.push_back({ProbeKind::current, none, none, below(random, static_cast<int>(c.parts.size()))});
    for (PartId p = 0; p < static_cast<PartId>(c.parts.size()); ++p) {
        const AnyPart& law = c.parts[static_cast<std::size_t>(p)].law;
        if (std::holds_alternative<Motor<>>(law)) probes.push_back({ProbeKind::speed, none, none, p});
        if (std::holds_alternative<Relay<>>(law)) probes.push_back({ProbeKind::contact, none, none, p});
    }
    return probes;
}

/// Of every size from a tenth of what matters to a hundred times more.
Fault any_fault(const Circuit& c, Random& random) {
    const auto p = below(random, static_cast<int>(c.parts.size()));
    const auto modes = faults_of(c.parts[static_cast<std::size_t>(p)].law);
    if (modes.empty()) return any_fault(c, random);
    const FaultMode& mode = modes[static_cast<std::size_t>(below(random, static_cast<int>(modes.size())))];
    const double size = size_of(mode.kind) == FaultSize::ohms ? log_uniform(random, 1e-3, 30)
                                                              : uniform(random, mode.low, mode.high);
    return {p, mode.kind, size};
}

/// By how much a deviation of each straying number moves each probe, from the whole circuit's own slopes.
std::vector<double> moved_by(const Network& n, const StrayingNumbers& strays,
                             const std::vector<Fault>& faults, const std::vector<double>& slopes,
                             std::size_t probes) {
    std::vector<double> deviations = strays.deviations;
    for (const Fault& f : faults) {
        const auto p = static_cast<std::size_t>(f.part);
        AnyPart law = n.circuit->parts[p].law;
        for (const Fault& other : faults)
            if (other.part == f.part) apply_fault(law, other.kind, other.size);
        const auto numbers = numbers_of(law, n.circuit->parts[p].tolerance).deviations;
        std::copy(numbers.begin(), numbers.end(), deviations.begin() + n.first_number[p]);
    }
    std::vector<double> all;
    for (std::size_t r = 0; r < probes; ++r)
        for (const int j : strays.number_of_column)
            all.push_back(slopes[static_cast<std::size_t>(j) * probes + r] *
                          deviations[static_cast<std::size_t>(j)]);
    return all;
}

} // namespace

TEST_CASE("faults read the same from the sound state's factorisation as from the whole circuit") {
    // Expected: the circuit with its faults, solved anew. Tolerance: both settle their currents to 1e-11 of
    // the largest; a motor that all but stands multiplies that by its curve's slope, so 1e-6 of the reading's
    // scale (12 V, 10 A, 100 rad/s) and of its largest move.
    MESSAGE("seed ", seed);
    Random random(seed);
    Workspace work;
    Operating at;
    int asked = 0, answered = 0, wrong_values = 0, wrong_moves = 0;
    double worst_value = 0, worst_move = 0;
    for (int k = 0; k < 120; ++k) {
        const Circuit circuit = random_harness(
            random, families[static_cast<std::size_t>(k) % families.size()], 10 + below(random, 40));
        const Network n = analyse(std::make_shared<const Circuit>(circuit));
        const StrayingNumbers strays = strays_of(n);
        const int state = below(random, static_cast<int>(circuit.states.size()));
        const std::vector<Probe> probes = probes_for(n, random);
        auto sound = sound_state(n, set_up(n, state), probes, strays, work);
        REQUIRE(sound.has_value());
        for (int turn = 0; turn < 60; ++turn) {
            std::vector<Fault> faults;
            for (int f = below(random, 3); f > 0; --f) {
                const Fault fault = any_fault(circuit, random);
                if (faults.empty() || faults.front().part != fault.part) faults.push_back(fault);
            }
            Setup setup = set_up(n, state, faults);
            if (operate(n, setup, work, at)) continue;
            std::vector<double> slopes, values, moved;
            const std::vector<double> whole = read_probes_with_slopes(n, setup, at, work, probes, slopes);
            ++asked;
            if (!read_with_faults(n, strays, *sound, faults, values, moved)) continue;
            ++answered;
            const std::vector<double> expected = moved_by(n, strays, faults, slopes, probes.size());
            const auto columns = static_cast<std::size_t>(strays.columns());
            for (std::size_t r = 0; r < probes.size(); ++r) {
                const double scale = probes[r].kind == ProbeKind::voltage   ? 12
                                     : probes[r].kind == ProbeKind::current ? 10
                                                                            : 100;
                const double off = std::abs(values[r] - whole[r]) / std::max(scale, std::abs(whole[r]));
                worst_value = std::max(worst_value, off);
                wrong_values += off > 1e-6;
                double most = 1e-6 * scale;
                for (std::size_t j = 0; j < columns; ++j)
                    most = std::max(most, std::abs(expected[r * columns + j]));
                double far = 0;
                for (std::size_t j = 0; j < columns; ++j)
                    far = std::max(far,
                                   std::abs(moved[r * sound->rows.size() + j] - expected[r * columns + j]));
                worst_move = std::max(worst_move, far / most);
                wrong_moves += far > 1e-6 * most;
                if (off > 1e-6 || far > 1e-6 * most) {
                    std::string told;
                    for (const Fault& f : faults)
                        told += circuit.parts[static_cast<std::size_t>(f.part)].name + " " +
                                std::string(name_of(f.kind)) + " " + std::to_string(f.size) + "; ";
                    CAPTURE(told);
                    CAPTURE(state);
                    CAPTURE(static_cast<int>(probes[r].kind));
                    CAPTURE(whole[r]);
                    CAPTURE(values[r]);
                    CHECK(off <= 1e-6);
                    CHECK(far <= 1e-6 * most);
                }
            }
        }
    }
    MESSAGE(asked, " asked, ", answered, " answered; worst value ", worst_value, ", worst move ", worst_move);
    CHECK(wrong_values == 0);
    CHECK(wrong_moves == 0);
    CHECK(answered > 0.8 * asked); // opens that cut a section off, and relays that move, are not
}

TEST_CASE("a test lamp into a branch that is cut off finds its motor's winding, whatever runs beside it") {
    // Expected: the circuit with its fault, solved anew; tolerance as above. What rounding leaves of the
    // branch's current, 1e-11 of some ten amperes, is no current: taken for one it let the motor crawl, which
    // was 2 mV of a lamp's 11 V in one of ten thousand random faults, and in twelve of a hundred here.
    Workspace work;
    Operating at;
    double worst = 0;
    for (int k = 0; k < 400; ++k) {
        Builder b;
        b.add(battery(11.5 + 0.005 * k, 0.0136), "minus", "plus");
        b.add(conductor<Connector<>>(0.005), "plus", "bus");
        for (const double run : {4.0, 6.0, 9.0}) {
            const std::string at_motor = "motor of " + std::to_string(run);
            b.add(wire(0.02), "bus", at_motor);
            b.add(nameplate_motor(12, run, 3 * run, 3000, LoadLaw::linear), at_motor, "minus");
        }
        const PartId lead = b.add(wire(0.014), "bus", "lead");
        Motor<> pump = nameplate_motor(12, 2, 4, 2400, LoadLaw::quadratic);
        pump.friction = pump.load_torque * 0.2;
        b.add(pump, "lead", "minus");
        const Network n = b.network();
        const std::vector<Probe> probes{{ProbeKind::voltage, b.point("bus"), b.point("lead"), none, 72, 12}};
        const StrayingNumbers strays = strays_of(n);
        auto sound = sound_state(n, set_up(n, 0), probes, strays, work);
        REQUIRE(sound.has_value());
        const std::vector<Fault> open{{lead, FaultKind::open, 0}};
        Setup setup = set_up(n, 0, open);
        REQUIRE_FALSE(operate(n, setup, work, at));
        std::vector<double> values, moved;
        REQUIRE(read_with_faults(n, strays, *sound, open, values, moved));
        worst = std::max(worst, std::abs(values[0] - read_probes(n, setup, at, work, probes)[0]));
    }
    CHECK(worst < 1e-6 * 12);
}

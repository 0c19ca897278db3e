// Every state of every bundled circuit, started with bouncing contacts.
#include "solver/circuit/read.h"
#include "solver/spinup/spinup.h"
#include "tests/network/builder.h"
#include "tests/spinup/ida.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

using namespace lostvolts;

namespace {

constexpr std::uint64_t seed = 7;

std::vector<std::filesystem::path> circuits() {
    std::vector<std::filesystem::path> all;
    for (const auto& folder : std::filesystem::directory_iterator(LOSTVOLTS_SOURCE "/circuits"))
        if (std::filesystem::exists(folder.path() / "circuit.toml"))
            all.push_back(folder.path() / "circuit.toml");
    std::sort(all.begin(), all.end());
    return all;
}

std::shared_ptr<const Circuit> circuit_of(const std::filesystem::path& path) {
    auto read = read_circuit(path);
    REQUIRE(read);
    return std::make_shared<const Circuit>(*std::move(read));
}

/// Currents through motors, lamps and fuses.
std::vector<Probe> probes_of(const Circuit& c) {
    std::vector<Probe> probes;
    for (PartId p = 0; p < static_cast<PartId>(c.parts.size()); ++p) {
        const AnyPart& law = c.parts[static_cast<std::size_t>(p)].law;
        if (std::holds_alternative<Motor<>>(law) || std::holds_alternative<Lamp<>>(law) ||
            std::holds_alternative<Fuse<>>(law))
            probes.push_back({ProbeKind::current, none, none, p, 10e6});
    }
    return probes;
}

SpinUpRequest request_for(const Circuit& c, int state, bool ripple) {
    SpinUpRequest r;
    r.state = state;
    r.ripple = ripple;
    r.every = from_si<Time<>>(1e-3);
    r.closing = from_si<Time<>>(0.0053); // no sample falls on an instant at which something jumps
    r.bounce = {{none, random_bounce(4, from_si<Time<>>(1e-3), seed)}};
    r.probes = probes_of(c);
    return r;
}

double greatest(const std::vector<std::vector<double>>& columns) {
    double most = 0;
    for (const auto& column : columns)
        for (const double x : column) most = std::max(most, std::abs(x));
    return most;
}
double greatest_difference(const std::vector<std::vector<double>>& a,
                           const std::vector<std::vector<double>>& b) {
    double most = 0;
    for (std::size_t c = 0; c < a.size(); ++c)
        for (std::size_t k = 0; k < a[c].size(); ++k) most = std::max(most, std::abs(a[c][k] - b[c][k]));
    return most;
}

} // namespace

TEST_CASE("every bundled circuit starts up as SUNDIALS IDA says") {
    // Expected: IDA 6 on the unreduced equations (tests/spinup/ida.h), contacts moved at the instants of a
    // run with tolerance 1e-8. Every current within 1e-4 of the greatest, at every sample, with the tolerance
    // that is usual; below 1 mA there is only leakage, which is not compared.
    MESSAGE("bounce seed " << seed);
    int compared = 0;
    for (const auto& path : circuits()) {
        const auto circuit = circuit_of(path);
        const Network network = analyse(circuit);
        for (int state = 0; state < static_cast<int>(circuit->states.size()); ++state)
            for (const bool ripple : {false, true}) {
                const bool bars =
                    std::any_of(circuit->parts.begin(), circuit->parts.end(), [](const Part& p) {
                        const auto* m = std::get_if<Motor<>>(&p.law);
                        return m && m->settings.bars > 0;
                    });
                if (ripple && !bars) continue;
                const SpinUpRequest request = request_for(*circuit, state, ripple);
                CAPTURE(path.string());
                CAPTURE(circuit->states[static_cast<std::size_t>(state)].name);
                CAPTURE(ripple);
                const auto ours = spin_up(network, request);
                REQUIRE(ours);
                const double most = greatest(ours->columns);
                if (most < 1e-3) continue;
                SpinUpRequest exact = request;
                exact.tolerance = 1e-8;
                const auto instants = spin_up(network, exact);
                REQUIRE(instants);
                const auto theirs = testing::Ida(network, request).run(instants->events, {1e-7, 1e-7});
                REQUIRE(theirs.done);
                const double off = greatest_difference(ours->columns, theirs.columns);
                const double best = greatest_difference(instants->columns, theirs.columns);
                const std::string kind = ripple ? ", ripple: " : ": ";
                MESSAGE(path.parent_path().filename().string()
                        << ", " << circuit->states[static_cast<std::size_t>(state)].name << kind << off / most
                        << " of " << most << " A in " << ours->steps << " + " << ours->rejected
                        << " steps; at 1e-8 " << best / most << "; IDA " << theirs.steps << " steps");
                CHECK(off <= 1e-4 * most);
                CHECK(best <= 1e-5 * most);
                ++compared;
            }
    }
    CHECK(compared >= 15);
}

TEST_CASE("energy is kept over every bundled start to a millionth") {
    // Expected: conservation. Given at the sources' posts = heat + work + store; heat comes from the laws,
    // the store from the trace.
    for (const auto& path : circuits()) {
        const auto circuit = circuit_of(path);
        const Network network = analyse(circuit);
        for (int state = 0; state < static_cast<int>(circuit->states.size()); ++state) {
            SpinUpRequest request = request_for(*circuit, state, true);
            request.tolerance = 1e-8;
            const auto run = spin_up(network, request);
            REQUIRE(run);
            if (std::abs(si(run->energy.given)) < 1e-2) continue; // leakage only
            CAPTURE(path.string());
            CAPTURE(state);
            const double off = si(run->energy.leftover) / si(run->energy.given);
            MESSAGE(path.parent_path().filename().string() << " state " << state << ": leftover " << off);
            CHECK(std::abs(off) < 1e-6);
        }
    }
}

TEST_CASE("a start ends where the DC solve of the same state stands") {
    // Expected: operate(), the same equations at rest; 4 s without ripple. What remains is the tail of the
    // slowest motor, and the megohm of open contacts.
    for (const auto& path : circuits()) {
        const auto circuit = circuit_of(path);
        const Network network = analyse(circuit);
        for (int state = 0; state < static_cast<int>(circuit->states.size()); ++state) {
            SpinUpRequest request = request_for(*circuit, state, false);
            request.duration = from_si<Time<>>(4.0);
            request.every = from_si<Time<>>(4.0);
            const auto run = spin_up(network, request);
            REQUIRE(run);
            Setup setup = set_up(network, state);
            Workspace work;
            Operating at;
            REQUIRE_FALSE(operate(network, setup, work, at));
            CAPTURE(path.string());
            CAPTURE(state);
            for (std::size_t p = 0; p < request.probes.size(); ++p) {
                const auto part = static_cast<std::size_t>(request.probes[p].through);
                if (std::holds_alternative<Lamp<>>(circuit->parts[part].law))
                    continue; // a dark one warms for minutes
                CHECK(std::abs(run->columns[p].back() - at.branch_amps[part]) <
                      3e-4 * std::abs(at.branch_amps[part]) + 1e-3);
            }
        }
    }
}

TEST_CASE("a worn bar shows once a revolution and nowhere else") {
    // Expected: with bar 3 of 8 at 0.4 ohm the current dips in one bar of eight; between two dips the rotor
    // has turned once: the time between them times the speed is 2π, to the samples' 0.1 ms.
    const auto circuit = circuit_of(LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml");
    const Network network = analyse(circuit);
    const PartId pump = find_part(*circuit, "rinse pump");
    SpinUpRequest request = request_for(*circuit, find_state(*circuit, "run"), true);
    request.every = from_si<Time<>>(1e-4);
    request.bad_bars = {{pump, {3, from_si<Resistance<>>(0.4)}}};
    request.probes = {{ProbeKind::current, none, none, pump, 10e6},
                      {ProbeKind::speed, none, none, pump, 10e6}};
    const auto run = spin_up(network, request);
    REQUIRE(run);
    const auto& amps = run->columns[0];
    const double low = *std::min_element(amps.end() - 1000, amps.end());
    std::vector<double> dips;
    for (std::size_t k = amps.size() - 1000; k + 1 < amps.size(); ++k)
        if (amps[k] < low + 0.15 && amps[k] <= amps[k - 1] && amps[k] < amps[k + 1])
            dips.push_back(run->seconds[k]);
    REQUIRE(dips.size() >= 4);
    const double turn = (dips.back() - dips.front()) / static_cast<double>(dips.size() - 1);
    CHECK(std::abs(turn * run->columns[1].back() - 2 * 3.14159265358979) < 2e-2);
}

TEST_CASE("motors that start together pull one another's supply down as IDA says") {
    // Expected: IDA on the same equations, to 1e-4 of the greatest current; beside a capacitor and a lamp,
    // and the second motor draws less at its peak than it does alone.
    const auto both = [](bool with_first) {
        testing::Builder b;
        b.add(testing::battery(12.6, 0.05), "-", "+");
        b.add(testing::conductor<Switch<>>(0.005), "+", "bus");
        if (with_first)
            b.add(testing::nameplate_motor(12, 20, 80, 2500, LoadLaw::quadratic), "bus", "-", "one");
        b.add(testing::wire(0.03), "bus", "far");
        b.add(testing::nameplate_motor(12, 9, 24, 3400, LoadLaw::linear), "far", "-", "two");
        Capacitor<> capacitor;
        capacitor.capacitance = from_si<Capacitance<>>(2200e-6);
        capacitor.resistance = from_si<Resistance<>>(0.05);
        b.add(capacitor, "far", "-");
        Lamp<> lamp;
        lamp.settings.rated = from_si<Voltage<>>(12.0);
        lamp.settings.power = from_si<Power<>>(21.0);
        lamp.resistance = from_si<Resistance<>>(144.0 / 21);
        b.add(lamp, "bus", "-");
        return b.circuit;
    };
    const auto circuit = std::make_shared<const Circuit>(both(true));
    const Network network = analyse(circuit);
    const SpinUpRequest request = request_for(*circuit, 0, false);
    const auto ours = spin_up(network, request);
    REQUIRE(ours);
    const auto theirs = testing::Ida(network, request).run(ours->events, {1e-7, 1e-7});
    REQUIRE(theirs.done);
    CHECK(greatest_difference(ours->columns, theirs.columns) <= 1e-4 * greatest(ours->columns));

    const auto alone = std::make_shared<const Circuit>(both(false));
    const auto lone = spin_up(analyse(alone), request_for(*alone, 0, false));
    REQUIRE(lone);
    REQUIRE(ours->motors.size() == 2);
    CHECK(ours->motors[1].peak < lone->motors[0].peak * 0.9);
    CHECK(ours->supplies[0].lowest < lone->supplies[0].lowest);
}

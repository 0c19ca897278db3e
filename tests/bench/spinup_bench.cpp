// Question: how many times faster than SUNDIALS IDA does the start-up run, on the same circuit, to the same
// accuracy: 1e-4 of the greatest current at every sample of a half-second start with bouncing contacts, plain
// and with commutation ripple?
//
// The circuit is the bundled orchard sprayer: battery, two fuses, relay with its coil, eight-bar pump, 15
// parts. IDA gets the unreduced equations with their exact dense Jacobian, is told when contacts move and
// stops at arcs that go out; both are sampled every millisecond. Each is given the loosest tolerance of a
// ladder that meets 1e-4, found against our own run at 1e-9, which IDA at 1e-7 confirms to 1e-5 first. Our
// time includes the circuit's reduction and its working point before the start. Seed 7. Not gated.
#include "solver/circuit/read.h"
#include "solver/spinup/spinup.h"
#include "tests/bench/conditions.h"
#include "tests/spinup/ida.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>

using namespace lostvolts;

namespace {

constexpr double accuracy = 1e-4;

using Columns = std::vector<std::vector<double>>;

double difference(const Columns& a, const Columns& b) {
    double most = 0, peak = 0;
    for (std::size_t c = 0; c < a.size(); ++c)
        for (std::size_t k = 0; k < a[c].size(); ++k) {
            most = std::max(most, std::abs(a[c][k] - b[c][k]));
            peak = std::max(peak, std::abs(b[c][k]));
        }
    return most / peak;
}

void stop(const char* why) {
    std::fprintf(stderr, "%s: nothing timed\n", why);
    std::exit(1);
}

void compare(const Network& network, bool ripple) {
    const Circuit& circuit = *network.circuit;
    SpinUpRequest request;
    request.state = find_state(circuit, "run");
    request.ripple = ripple;
    request.account = false;
    request.closing = from_si<Time<>>(0.0053);
    request.every = from_si<Time<>>(1e-3);
    request.bounce = {{none, random_bounce(4, from_si<Time<>>(1e-3), 7)}};
    request.probes = {{ProbeKind::current, none, none, find_part(circuit, "rinse pump"), 10e6}};

    SpinUpRequest exact = request;
    exact.tolerance = 1e-9;
    const auto best = spin_up(network, exact);
    if (!best) stop("no start");
    testing::Ida ida(network, request);
    if (const auto check = ida.run(best->events, {1e-7, 1e-7});
        !check.done || difference(check.columns, best->columns) > 1e-5)
        stop("IDA and the reference disagree");

    double our_error = 1, their_error = 1, their_tolerance = 0;
    SpinUp ours;
    for (const double tolerance : {2e-3, 1e-3, 5e-4, 2e-4, 1e-4, 5e-5}) {
        request.tolerance = tolerance;
        auto run = spin_up(network, request);
        if (!run) stop("no start");
        ours = *std::move(run);
        if ((our_error = difference(ours.columns, best->columns)) <= accuracy) break;
    }
    long their_steps = 0;
    for (const double tolerance : {3e-4, 1e-4, 5e-5, 3e-5, 2e-5, 1e-5, 5e-6, 2e-6, 1e-6}) {
        const auto trace = ida.run(best->events, {tolerance, tolerance});
        their_tolerance = tolerance;
        their_steps = trace.steps;
        if (trace.done && (their_error = difference(trace.columns, best->columns)) <= accuracy) break;
    }
    if (our_error > accuracy || their_error > accuracy) stop("1e-4 was not met");

    const std::array<std::function<void()>, 2> works{
        [&] { (void)spin_up(network, request); },
        [&] {
            (void)ida.run(best->events, {their_tolerance, their_tolerance});
        }};
    const auto t = bench::time_interleaved(works, 15, 0.05, bench::TimeOf::processor);
    std::printf("%-13s %5d + %-4d %9.2e %9.1f %5.2f–%-5.2f %7ld %9.2e %10.1f %5.2f–%-5.2f %8.1f\n",
                ripple ? "with ripple" : "plain", ours.steps, ours.rejected, our_error, t[0].median / 1000,
                t[0].least / t[0].median, t[0].most / t[0].median, their_steps, their_error,
                t[1].median / 1000, t[1].least / t[1].median, t[1].most / t[1].median,
                t[1].median / t[0].median);
}

} // namespace

int main() {
    auto circuit = read_circuit(LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml");
    if (!circuit) stop("no circuit");
    const Network network = analyse(std::make_shared<const Circuit>(*std::move(circuit)));
    std::printf("%s\n%-13s %12s %9s %9s %11s %7s %9s %10s %11s %8s\n", bench::conditions().c_str(), "start",
                "our steps", "error", "µs", "spread", "IDA", "error", "µs", "spread", "ratio");
    compare(network, false);
    compare(network, true);
    return 0;
}

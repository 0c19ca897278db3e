// Question: what does the whole nonlinear answer cost, in linear solves, on the bundled circuits and on
// harnesses that grow, with loads of every kind in them? bench_operating asks it of one pump and has targets.
//
// A linear solve is one elimination and one solve of the same network, with the slopes at the working point.
// Beside the working point (Newton, relays and all) stand ten readings with their slopes against every number
// of every part. Before anything is timed the working point has to keep Kirchhoff's current law to 1e-9, and
// every slope has to be finite.
//
//   bench_working_point                  the ratio table
//   bench_working_point --benchmark_…    Google Benchmark's own figures, with its options
#include <benchmark/benchmark.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "solver/network/measure.h"
#include "tests/bench/conditions.h"
#include "tests/bench/sample_job.h"

using namespace lostvolts;

namespace {

constexpr std::size_t readings = 10;

/// Voltages spread over the points, and as far as there is a motor its current and its speed.
std::vector<Probe> ten_readings(const Circuit& c) {
    std::vector<Probe> probes;
    for (std::size_t p = 0; p < c.parts.size() && probes.empty(); ++p)
        if (std::holds_alternative<Motor<>>(c.parts[p].law))
            for (const ProbeKind kind : {ProbeKind::current, ProbeKind::speed})
                probes.push_back({kind, none, none, static_cast<PartId>(p), 10e6});
    for (std::size_t k = 0; probes.size() < readings; ++k) {
        const auto red = static_cast<PointId>((k * c.points.size() / readings + 1) % c.points.size());
        probes.push_back({ProbeKind::voltage, red, c.ground, none, 10e6});
    }
    return probes;
}

struct Job {
    explicit Job(std::shared_ptr<const Circuit> circuit)
        : network(analyse(std::move(circuit))), setup(set_up(network, 0)),
          probes(ten_readings(*network.circuit)), volts(static_cast<std::size_t>(network.nodes), 1.0) {}

    void linear_solve() {
        eliminate(network.plan, at.edge_siemens, factor);
        std::fill(volts.begin(), volts.end(), 1.0);
        solve(network.plan, factor, volts);
    }
    void working_point() {
        if (operate(network, setup, work, at)) bench::refuse_to_time("no working point");
    }
    void readings_with_slopes() {
        values = read_probes_with_slopes(network, setup, at, work, probes, slopes);
    }
    void check() {
        working_point();
        readings_with_slopes();
        if (bench::leftover_share(at) > 1e-9) bench::refuse_to_time("Kirchhoff's current law is not kept");
        for (const auto* all : {&values, &slopes})
            if (!std::all_of(all->begin(), all->end(), [](double x) { return std::isfinite(x); }))
                bench::refuse_to_time("a reading or a slope is no number");
        linear_solve();
    }

    Network network;
    Setup setup;
    Workspace work;
    Operating at;
    std::vector<Probe> probes;
    Factor factor;
    std::vector<double> volts, values, slopes;
};

void print_row(const char* name, std::shared_ptr<const Circuit> circuit) {
    Job job(std::move(circuit));
    job.check();
    const std::array<std::function<void()>, 3> works{
        [&] { job.linear_solve(); }, [&] { job.working_point(); }, [&] { job.readings_with_slopes(); }};
    const auto t = bench::time_interleaved(works, 25, 0.01);
    std::printf("%-24s %5zu %5d %6d %9.0f %5.2f–%-5.2f %10.0f %7.1f %10.0f %7.1f\n", name,
                job.setup.parts.size(), job.network.nodes, job.at.iterations, t[0].median,
                t[0].least / t[0].median, t[0].most / t[0].median, t[1].median, t[1].median / t[0].median,
                t[2].median, t[2].median / t[0].median);
}

constexpr std::array scenarios{"orchard_sprayer",     "radiator_fan",  "workboat_bilge",
                               "snow_plough_spinner", "trailer_lamps", "glasshouse_winch"};

Job harness_of(const benchmark::State& state) {
    Job job(bench::circuit_from_text(bench::harness_text(static_cast<int>(state.range(0)))));
    job.check();
    return job;
}

template <void (Job::*work)()> void run(benchmark::State& state) {
    Job job = harness_of(state);
    for (auto _ : state) {
        (job.*work)();
        benchmark::ClobberMemory();
    }
    state.SetComplexityN(state.range(0));
}

void over_sizes(benchmark::internal::Benchmark* bench) {
    for (const int parts : {25, 250, 2500}) bench->Arg(parts);
}

BENCHMARK(run<&Job::linear_solve>)->Name("linear solve")->Apply(over_sizes)->Complexity(benchmark::oN);
BENCHMARK(run<&Job::working_point>)->Name("working point")->Apply(over_sizes)->Complexity(benchmark::oN);
BENCHMARK(run<&Job::readings_with_slopes>)
    ->Name("ten readings with slopes")
    ->Apply(over_sizes)
    ->Complexity(benchmark::oN);

} // namespace

int main(int argc, char** argv) {
    if (argc == 1) {
        std::printf("A working point, and ten readings with slopes, in linear solves; medians of interleaved "
                    "turns\n%s\n%-24s %5s %5s %6s %9s %11s %10s %7s %10s %7s\n",
                    bench::conditions().c_str(), "circuit", "parts", "nodes", "steps", "solve ns", "spread",
                    "point ns", "solves", "slopes ns", "solves");
        for (const int parts : {25, 250, 2500})
            print_row(parts == 25 ? "harness" : "", bench::circuit_from_text(bench::harness_text(parts)));
        for (const char* scenario : scenarios) print_row(scenario, bench::bundled_circuit(scenario));
        return 0;
    }
    benchmark::Initialize(&argc, argv);
    if (benchmark::ReportUnrecognizedArguments(argc, argv)) return EXIT_FAILURE;
    benchmark::RunSpecifiedBenchmarks();
}

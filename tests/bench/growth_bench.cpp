// Question: does the whole way from a circuit file to its answer grow in proportion to the circuit, from a
// hundred parts to a hundred thousand? Reading the text, analysing the network, finding the working point.
//
// The harness is one trunk with branches (sample_job.h); every answer has to keep Kirchhoff's current law to
// 1e-9 of the largest current before it is timed. Linear growth shows as a level figure per part. A cache
// that no longer holds the circuit shows too.
//
//   bench_growth                  the table
//   bench_growth --benchmark_…    Google Benchmark's own figures, with its options
#include <benchmark/benchmark.h>

#include <array>
#include <cstdio>
#include <cstdlib>

#include "solver/circuit/read.h"
#include "tests/bench/conditions.h"
#include "tests/bench/sample_job.h"

using namespace lostvolts;

namespace {

constexpr std::array sizes{100, 1'000, 10'000, 100'000};

struct Way {
    explicit Way(int parts) : text(bench::harness_text(parts)) {
        all();
        if (bench::leftover_share(at) > 1e-9) bench::refuse_to_time("Kirchhoff's current law is not kept");
    }

    void read() { circuit = bench::circuit_from_text(text); }
    void plan() { network = analyse(circuit); }
    void settle() {
        Setup setup = set_up(network, 0);
        if (operate(network, setup, work, at)) bench::refuse_to_time("no working point");
    }
    void all() {
        read();
        plan();
        settle();
    }

    std::string text;
    std::shared_ptr<const Circuit> circuit;
    Network network;
    Workspace work;
    Operating at;
};

void print_table() {
    std::printf("\n%9s %9s %14s %14s %14s %12s %12s\n", "parts", "KB", "read ns/part", "analyse", "operate",
                "all ns/part", "all ms");
    for (const int size : sizes) {
        Way way(size);
        const std::array<std::function<void()>, 3> works{[&] { way.read(); }, [&] { way.plan(); },
                                                         [&] { way.settle(); }};
        const auto t = bench::time_interleaved(works, size > 10'000 ? 5 : 11, 0.02);
        const auto parts = static_cast<double>(way.circuit->parts.size());
        const double all = t[0].median + t[1].median + t[2].median;
        std::printf("%9.0f %9zu %14.0f %14.0f %14.0f %12.0f %12.2f\n", parts, way.text.size() / 1024,
                    t[0].median / parts, t[1].median / parts, t[2].median / parts, all / parts, all * 1e-6);
    }
}

template <void (Way::*work)()> void run(benchmark::State& state) {
    Way way(static_cast<int>(state.range(0)));
    for (auto _ : state) {
        (way.*work)();
        benchmark::ClobberMemory();
    }
    state.SetComplexityN(state.range(0));
}

void over_sizes(benchmark::internal::Benchmark* bench) {
    for (const int parts : sizes) bench->Arg(parts);
}

BENCHMARK(run<&Way::read>)->Name("read")->Apply(over_sizes)->Complexity(benchmark::oN);
BENCHMARK(run<&Way::plan>)->Name("analyse")->Apply(over_sizes)->Complexity(benchmark::oN);
BENCHMARK(run<&Way::settle>)->Name("operate")->Apply(over_sizes)->Complexity(benchmark::oN);
BENCHMARK(run<&Way::all>)->Name("all of it")->Apply(over_sizes)->Complexity(benchmark::oN);

} // namespace

int main(int argc, char** argv) {
    if (argc == 1) {
        std::printf("From a file's text to the working point, by size; medians of interleaved turns\n%s",
                    bench::conditions().c_str());
        print_table();
        return 0;
    }
    benchmark::Initialize(&argc, argv);
    if (benchmark::ReportUnrecognizedArguments(argc, argv)) return EXIT_FAILURE;
    benchmark::RunSpecifiedBenchmarks();
}

// Question: with the structure of a harness known, how many times faster than KLU and than Eigen's
// SimplicialLDLT does the star–mesh elimination go from new conductances to node volts (one refactor, one
// solve)?
//
// All three solve the same symmetric nodal matrix. The libraries get its values for nothing, the elimination
// sums them from the conductances within its own time. Answers are compared before anything is timed. A
// harness is tree-like with 5 % loops, conductances 0.1 to 10 S, nodes numbered along it; seed 7.
//
//   bench_elimination                  the ratio tables
//   bench_elimination --benchmark_…    Google Benchmark's own figures, with its options
#include "solver/network/elimination.h"
#include "tests/bench/conditions.h"
#include "tests/bench/rivals.h"

#include <benchmark/benchmark.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>

using namespace lostvolts;

namespace {

constexpr std::uint64_t seed = 7;
constexpr std::array sizes{25, 250, 2'500, 25'000, 250'000};
constexpr std::int32_t tree = 8, series_chain = 1; // how far back a node may be joined
constexpr int columns = 10;                        // readings of one visit, each with its adjoint solve

struct Harness {
    explicit Harness(std::int32_t nodes, std::int32_t reach = tree)
        : network(test::tree_with_loops(nodes, seed, {}, reach)),
          plan(plan_elimination(nodes, network.edges)), amps(test::random_amps(nodes, seed)),
          klu(bench::nodal_matrix(network)), ldlt(bench::nodal_matrix(network)) {
        for (const double each : amps) many_amps.insert(many_amps.end(), columns, each);
    }

    void with_elimination() {
        eliminate(plan, network.siemens, factor);
        volts = amps;
        solve(plan, factor, volts);
    }
    void with_ten_solves() {
        many_volts = many_amps;
        solve_many(plan, factor, columns, many_volts);
    }
    void with_klu() {
        klu.refactor();
        volts = amps;
        klu.solve(volts);
    }
    void with_ldlt() {
        ldlt.refactor();
        volts = amps;
        ldlt.solve(volts);
    }

    test::Network network;
    EliminationPlan plan;
    Factor factor;
    std::vector<double> amps, volts, many_amps, many_volts;
    bench::Klu klu;
    bench::Ldlt ldlt;
};

/// Digits to which two answers agree, relative to the greatest volts.
double digits_agreed(const std::vector<double>& one, const std::vector<double>& two) {
    double difference = 1e-17, greatest = 0.0;
    for (std::size_t node = 0; node < one.size(); ++node) {
        difference = std::max(difference, std::abs(one[node] - two[node]));
        greatest = std::max(greatest, std::abs(one[node]));
    }
    return std::log10(greatest / difference);
}

/// The fewest digits any library agrees to; ends the program when an answer is wrong.
double check_answers(Harness& harness) {
    harness.with_elimination();
    const std::vector<double> ours = harness.volts;
    harness.with_klu();
    double digits = digits_agreed(ours, harness.volts);
    harness.with_ldlt();
    digits = std::min(digits, digits_agreed(ours, harness.volts));
    harness.with_ten_solves();
    for (std::size_t i = 0; i < harness.many_volts.size(); ++i)
        if (std::abs(harness.many_volts[i] - ours[i / columns]) > 1e-12 * std::abs(ours[i / columns]))
            digits = 0;
    if (digits < 9) {
        std::fprintf(stderr, "answers agree to %.1f digits only: nothing is timed\n", digits);
        std::exit(EXIT_FAILURE);
    }
    return digits;
}

void print_ratio_table(std::int32_t reach) {
    std::printf("\n%s\n", reach == tree ? "Tree" : "Series chain");
    std::printf("%8s %14s %11s %12s %10s %12s %10s %14s %10s %7s\n", "nodes", "elimination ns", "spread",
                "KLU ns", "KLU ×", "LDLT ns", "LDLT ×", "10 solves ns", "plan µs", "digits");
    for (const int nodes : sizes) {
        Harness harness(nodes, reach);
        const double digits = check_answers(harness);
        const std::array<std::function<void()>, 5> works{
            [&] { harness.with_elimination(); }, [&] { harness.with_klu(); }, [&] { harness.with_ldlt(); },
            [&] { harness.with_ten_solves(); },
            [&] { benchmark::DoNotOptimize(plan_elimination(nodes, harness.network.edges)); }};
        const auto timings = bench::time_interleaved(works, 15, 0.02);
        const bench::Timing &ours = timings[0], &klu = timings[1], &ldlt = timings[2];
        std::printf("%8d %14.0f %5.2f–%-5.2f %12.0f %9.2f %12.0f %9.2f %14.0f %9.0f %7.1f\n", nodes,
                    ours.median, ours.least / ours.median, ours.most / ours.median, klu.median,
                    klu.median / ours.median, ldlt.median, ldlt.median / ours.median, timings[3].median,
                    timings[4].median / 1000, digits);
    }
}

template <void (Harness::*work)()> void run(benchmark::State& state) {
    Harness harness(static_cast<std::int32_t>(state.range(0)));
    check_answers(harness);
    for (auto _ : state) {
        (harness.*work)();
        benchmark::DoNotOptimize(harness.volts.data());
        benchmark::ClobberMemory();
    }
    state.SetComplexityN(state.range(0));
}

void over_sizes(benchmark::internal::Benchmark* bench) {
    for (const int nodes : sizes) bench->Arg(nodes);
}

BENCHMARK(run<&Harness::with_elimination>)->Name("elimination")->Apply(over_sizes)->Complexity(benchmark::oN);
BENCHMARK(run<&Harness::with_ten_solves>)->Name("ten solves")->Apply(over_sizes)->Complexity(benchmark::oN);
BENCHMARK(run<&Harness::with_klu>)->Name("KLU")->Apply(over_sizes)->Complexity(benchmark::oN);
BENCHMARK(run<&Harness::with_ldlt>)->Name("SimplicialLDLT")->Apply(over_sizes)->Complexity(benchmark::oN);

} // namespace

int main(int argc, char** argv) {
    if (argc == 1) {
        std::printf("Refactor and one solve, structure reused; medians of interleaved turns, seed %d\n%s",
                    static_cast<int>(seed), bench::conditions().c_str());
        print_ratio_table(tree);
        print_ratio_table(series_chain);
        return 0;
    }
    benchmark::Initialize(&argc, argv);
    if (benchmark::ReportUnrecognizedArguments(argc, argv)) return EXIT_FAILURE;
    benchmark::RunSpecifiedBenchmarks();
}

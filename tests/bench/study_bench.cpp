// Question: how many workers can one writer of a study serve, and does twice the work take twice the workers
// no longer? (weak scaling)
//
// Processor time of one block of cases and of writing it down (checksum, two appends, order kept): their
// quotient is where more workers stop helping. Then whole studies: one worker with N variants, two workers
// with 2·N, as threads of one process and, where mpirun is there, as processes; efficiency is the time of one
// over the time of two. The tables of two workers are held against each other byte by byte first. The orchard
// sprayer, its feed's length drawn evenly (seed 1), 2000 machines a variant.
//
//   bench_study [VARIANTS]     120 without a number
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

#include <fmt/format.h>
#include <unistd.h>

#include "solver/study/cases.h"
#include "solver/study/ledger.h"
#include "tests/bench/conditions.h"
#include "tests/bench/whole_process.h"

namespace {

using namespace lostvolts;
namespace fs = std::filesystem;
constexpr int rounds = 5;

std::string order_text(long variants) {
    return fmt::format(
        "format = 1\nstudy = \"tolerances\"\ncircuits = [\"{}/circuits/orchard_sprayer/circuit.toml\"]\n"
        "output = \"table_{}.csv\"\nsamples = 2000\nstate = \"run\"\nvariants = {}\n"
        "[[vary]]\npart = \"feed wire\"\nkey = \"length\"\nfrom = \"2 m\"\nto = \"8 m\"\n",
        LOSTVOLTS_SOURCE, variants, variants);
}

std::string write_order(const fs::path& folder, long variants) {
    const fs::path file = folder / fmt::format("order_{}.toml", variants);
    std::ofstream(file) << order_text(variants);
    return file.string();
}

std::string text_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
}

double processor_seconds() {
    timespec t{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
    return static_cast<double>(t.tv_sec) + 1e-9 * static_cast<double>(t.tv_nsec);
}

/// Seconds of the processor for a block and for writing it, medians.
void blocks(const fs::path& folder, long variants) {
    const auto order = read_order(write_order(folder, variants));
    auto ledger = order ? Ledger::open(*order, true) : Result<Ledger>(order.problems());
    if (!ledger) std::exit(1);
    std::vector<double> work, write;
    for (long block = 0; block < count_blocks(*order); ++block) {
        const double start = processor_seconds();
        const std::string lines = lines_of_block(*order, block);
        const double worked = processor_seconds();
        if (ledger->add(block, lines)) std::exit(1);
        work.push_back(worked - start);
        write.push_back(processor_seconds() - worked);
    }
    const double b = median(work), c = median(write);
    std::printf("block of %ld cases   %10.3f ms to work out, %.4f ms to write down: the writer is full at "
                "%.0f workers\n",
                cases_in_a_block(*order), 1e3 * b, 1e3 * c, b / c);
}

double seconds_of(const std::string& command) {
    const auto start = std::chrono::steady_clock::now();
    if (std::system((command + " >/dev/null").c_str()) != 0) {
        std::fprintf(stderr, "failed: %s\n", command.c_str());
        std::exit(1);
    }
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

} // namespace

int main(int argc, char** argv) {
    const long variants = argc > 1 ? std::atol(argv[1]) : 120;
    std::string name = (fs::temp_directory_path() / "lostvolts-bench-XXXXXX").string();
    if (variants < 1 || !mkdtemp(name.data())) return 1;
    const fs::path folder = name;
    std::printf("A study's workers, %ld variants for one and %ld for two\n%sload       %s\n\n", variants,
                2 * variants, bench::conditions().c_str(), bench::load().c_str());
    fs::create_directory(folder / "blocks"); // apart: what is written down there a study would go on from
    blocks(folder / "blocks", variants);

    const std::string program = "'" LOSTVOLTS_PROGRAM "' study ", one = write_order(folder, variants),
                      two = write_order(folder, 2 * variants),
                      launch = "OMPI_ALLOW_RUN_AS_ROOT=1 OMPI_ALLOW_RUN_AS_ROOT_CONFIRM=1 mpirun ";
    const fs::path table = folder / fmt::format("table_{}.csv", 2 * variants);
    const bool mpi = fs::exists(fs::path(LOSTVOLTS_PROGRAM).parent_path() / "lostvolts-study") &&
                     std::system("command -v mpirun >/dev/null") == 0;
    std::vector<double> times[4];
    for (int round = 0; round < rounds; ++round) {
        times[0].push_back(seconds_of(program + one + " --threads 1"));
        times[1].push_back(seconds_of(program + two + " --threads 2"));
        const std::string by_threads = text_of(table);
        if (!mpi) continue;
        times[2].push_back(seconds_of(launch + "-n 1 " + program + one));
        times[3].push_back(seconds_of(launch + "-n 2 " + program + two));
        if (text_of(table) != by_threads) {
            std::fprintf(stderr, "the tables differ\n");
            return 1;
        }
    }
    const auto row = [&](const char* what, const std::vector<double>& single,
                         const std::vector<double>& both) {
        std::printf("%-10s %8.3f s one, %8.3f s two (medians of %d; least %.3f, %.3f): efficiency %.2f\n",
                    what, median(single), median(both), rounds,
                    *std::min_element(single.begin(), single.end()),
                    *std::min_element(both.begin(), both.end()), median(single) / median(both));
    };
    row("threads", times[0], times[1]);
    if (mpi) row("processes", times[2], times[3]);
    std::error_code ignored;
    fs::remove_all(folder, ignored);
}

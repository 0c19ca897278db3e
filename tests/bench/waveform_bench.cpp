// Question: at what share of the throughput of a bare fast_float parse of the same file is a capture of ten
// million rows read *and* analysed, and in how much memory beside its samples as doubles?
//
// The bare parse maps the file and runs fast_float over every number into three preallocated arrays, with no
// check of anything. Both are timed in turn within one run; the file is in the page cache. Its content: a
// start at 10 MS/s with noise, seed 1; time with seven decimals, volts and amperes with five digits.
//
//   bench_waveform [rows] [file]
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <functional>
#include <random>
#include <string>
#include <vector>

#include <fcntl.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fast_float/fast_float.h>

#include "solver/waveform/waveform.h"
#include "tests/bench/conditions.h"

using namespace lostvolts;

namespace {

void write_capture(const std::string& path, std::size_t rows) {
    std::FILE* const out = std::fopen(path.c_str(), "w");
    std::fputs("time (s),voltage (V),current (A)\n", out);
    std::mt19937_64 random(1);
    std::normal_distribution<double> normal;
    const double step = 1e-7, on = 0.1 * static_cast<double>(rows) * step;
    for (std::size_t k = 0; k < rows; ++k) {
        const double t = step * static_cast<double>(k), since = t - on;
        const double current = since < 0
                                   ? 0
                                   : (9 + 15 * std::exp(-since / 0.05)) * (1 - std::exp(-since / 0.7e-3)) *
                                         (1 + 0.02 * std::cos(2700 * since));
        std::fprintf(out, "%.7f,%.4f,%.4f\n", t, 12.6 - 0.04 * current + 0.05 * normal(random),
                     current + 0.1 * normal(random));
    }
    std::fclose(out);
}

/// Sum of all numbers, so that nothing can be left out.
double bare_parse(const std::string& path, std::size_t rows) {
    const int file = ::open(path.c_str(), O_RDONLY);
    struct stat about {};
    ::fstat(file, &about);
    const auto size = static_cast<std::size_t>(about.st_size);
    const char* const text = static_cast<const char*>(::mmap(nullptr, size, PROT_READ, MAP_PRIVATE, file, 0));
    ::madvise(const_cast<char*>(text), size, MADV_SEQUENTIAL);
    std::array<std::vector<double>, 3> columns;
    for (auto& c : columns) c.reserve(rows + 1);
    const char *p = text, *const end = text + size;
    while (p < end && *p != '\n') ++p;
    ++p;
    while (p < end)
        for (auto& c : columns) {
            double value = 0;
            p = fast_float::from_chars(p, end, value).ptr + 1;
            c.push_back(value);
        }
    double sum = 0;
    for (const auto& c : columns) sum += c.back() + static_cast<double>(c.size());
    ::munmap(const_cast<char*>(text), size);
    ::close(file);
    return sum;
}

/// Greatest memory of a fresh process that only reads and analyses.
double megabytes_of_a_child(const char* self, const std::string& path) {
    std::fflush(stdout);
    const pid_t child = ::fork();
    if (child == 0) {
        ::execl("/proc/self/exe", self, "--once", path.c_str(), nullptr);
        ::_exit(1);
    }
    int status = 0;
    rusage use{};
    ::wait4(child, &status, 0, &use);
    return status == 0 ? static_cast<double>(use.ru_maxrss) * 1024 / 1e6 : std::nan("");
}

} // namespace

int main(int argc, char** argv) {
    if (argc > 2 && std::string(argv[1]) == "--once") {
        const auto once = read_capture(argv[2]);
        return once && analyse(*once) ? 0 : 1;
    }
    const std::size_t rows = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 10'000'000;
    const std::string path =
        argc > 2 ? argv[2]
                 : (std::filesystem::temp_directory_path() / "lostvolts_bench_capture.csv").string();
    write_capture(path, rows);
    const double megabytes = static_cast<double>(std::filesystem::file_size(path)) / 1e6;

    // The answer first: what was written is found again.
    const auto capture = read_capture(path);
    if (!capture || capture->size() != rows) return std::fprintf(stderr, "the capture was not read\n"), 1;
    const auto report = analyse(*capture);
    if (!report || !report->run_current || std::abs(si(*report->run_current) - 9) > 0.1)
        return std::fprintf(stderr, "the analysis is wrong\n"), 1;

    double sink = 0;
    const std::array<std::function<void()>, 3> works{
        [&] { sink += bare_parse(path, rows); },
        [&] { sink += static_cast<double>(read_capture(path)->size()); },
        [&] {
            const auto c = read_capture(path);
            sink += static_cast<double>(analyse(*c)->samples);
        }};
    const auto timings = bench::time_interleaved(works, 7, 0.1, bench::TimeOf::processor);
    std::printf("%s\n%zu rows, %.0f MB\n", bench::conditions().c_str(), rows, megabytes);
    const char* const names[] = {"bare fast_float parse", "read", "read and analysed"};
    for (std::size_t k = 0; k < 3; ++k)
        std::printf("%-22s %6.0f MB/s (%.0f to %.0f), ratio %.2f\n", names[k],
                    megabytes * 1e9 / timings[k].median, megabytes * 1e9 / timings[k].most,
                    megabytes * 1e9 / timings[k].least, timings[0].median / timings[k].median);
    const double used = megabytes_of_a_child(argv[0], path),
                 samples = 3 * 8 * static_cast<double>(rows) / 1e6;
    std::printf("memory at most %.0f MB, %.2f times the samples as doubles\n", used, used / samples);
    std::filesystem::remove(path);
    return sink == 0;
}

#include "tests/bench/conditions.h"

#include <algorithm>
#include <chrono>
#include <fstream>

namespace lostvolts::bench {
namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
    return std::chrono::duration<double>(Clock::now() - start).count();
}

std::string processor() {
    std::ifstream cpuinfo("/proc/cpuinfo");
    for (std::string line; std::getline(cpuinfo, line);)
        if (line.starts_with("model name")) return line.substr(line.find(':') + 2);
    return "unknown";
}

} // namespace

std::string conditions() {
    return "compiler   " LOSTVOLTS_COMPILER "\nflags      " LOSTVOLTS_FLAGS "\nprocessor  " + processor() +
           "\ncommit     " LOSTVOLTS_COMMIT "\n";
}

std::vector<Timing> time_interleaved(std::span<const std::function<void()>> works, int turns,
                                     double turn_seconds) {
    std::vector<long> calls;
    for (const auto& work : works) {
        const auto start = Clock::now();
        long done = 0;
        do {
            work();
            ++done;
        } while (seconds_since(start) < turn_seconds);
        calls.push_back(done);
    }
    std::vector<std::vector<double>> nanoseconds(works.size());
    for (int turn = 0; turn < turns; ++turn)
        for (std::size_t w = 0; w < works.size(); ++w) {
            const auto start = Clock::now();
            for (long call = 0; call < calls[w]; ++call) works[w]();
            nanoseconds[w].push_back(1e9 * seconds_since(start) / static_cast<double>(calls[w]));
        }
    std::vector<Timing> timings;
    for (auto& each : nanoseconds) {
        std::sort(each.begin(), each.end());
        timings.push_back({each[each.size() / 2], each.front(), each.back()});
    }
    return timings;
}

} // namespace lostvolts::bench

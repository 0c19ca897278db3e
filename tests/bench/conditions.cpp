#include "tests/bench/conditions.h"

#include <algorithm>
#include <fstream>

#include <time.h>

namespace lostvolts::bench {
namespace {

double seconds_of(TimeOf clock) {
    timespec now{};
    ::clock_gettime(clock == TimeOf::wall ? CLOCK_MONOTONIC : CLOCK_THREAD_CPUTIME_ID, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
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
                                     double turn_seconds, TimeOf clock) {
    std::vector<long> calls;
    for (const auto& work : works) {
        const double start = seconds_of(clock);
        long done = 0;
        do {
            work();
            ++done;
        } while ((seconds_of(clock) - start) < turn_seconds);
        calls.push_back(done);
    }
    std::vector<std::vector<double>> nanoseconds(works.size());
    for (int turn = 0; turn < turns; ++turn)
        for (std::size_t w = 0; w < works.size(); ++w) {
            const double start = seconds_of(clock);
            for (long call = 0; call < calls[w]; ++call) works[w]();
            nanoseconds[w].push_back(1e9 * (seconds_of(clock) - start) / static_cast<double>(calls[w]));
        }
    std::vector<Timing> timings;
    for (auto& each : nanoseconds) {
        std::sort(each.begin(), each.end());
        timings.push_back({each[each.size() / 2], each.front(), each.back()});
    }
    return timings;
}

} // namespace lostvolts::bench

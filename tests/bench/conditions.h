// What a figure was measured on and how figures that are compared are taken.
#pragma once

#include <functional>
#include <span>
#include <string>
#include <vector>

namespace lostvolts::bench {

/// Compiler, flags, processor and commit, one line each.
std::string conditions();

/// The clock on the wall, or the processor's time in this thread: the latter doesn't count what else the
/// machine does, nor work in other threads.
enum class TimeOf { wall, processor };

/// Of repeated timings, nanoseconds for one call.
struct Timing {
    double median = 0.0;
    double least = 0.0;
    double most = 0.0;
};

/// Times each piece of work in turn, over and over, so that a change in the machine's speed meets all of
/// them. Each turn calls its work until about `turn_seconds` have passed; every timing is of `turns` such
/// turns.
std::vector<Timing> time_interleaved(std::span<const std::function<void()>> works, int turns,
                                     double turn_seconds, TimeOf clock = TimeOf::wall);

} // namespace lostvolts::bench

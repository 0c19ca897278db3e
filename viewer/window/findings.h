// What the solver says of the job on the bench, worked out from a copy of it off the thread that draws: first
// what single faults say, which takes a hundredth of a second, then all of it.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "solver/locate/locate.h"
#include "solver/network/network.h"

namespace lostvolts {

struct Findings {
    std::shared_ptr<const Readings> job; ///< of which these are the findings
    /// Per state of the circuit; nothing where it has no working point.
    std::vector<std::optional<StatePrediction>> healthy;
    std::vector<std::optional<StatePrediction>> suspected; ///< as the leading suspect has it
    std::optional<Location> location;
    bool first_answer = false; ///< of single faults, and without the next readings
    Problems problems;         ///< why something of it is missing
    double milliseconds = 0;
};

enum class Thoroughness { first, whole };

/// Throws nothing but GivenUp, when nobody waits any more.
Findings find_out(std::shared_ptr<const Readings> job, Thoroughness wanted);

/// One state with these faults; nothing where it has no working point.
std::optional<StatePrediction> working_point(const Network& network, int state,
                                             const std::vector<Fault>& faults, Problems* problems = nullptr);

} // namespace lostvolts

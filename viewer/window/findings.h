// What the solver says of the job on the bench: worked out in one go from a copy of it, off the thread that
// draws.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "solver/locate/locate.h"
#include "solver/network/network.h"
#include "viewer/window/worker.h"

namespace lostvolts {

struct Findings {
    std::shared_ptr<const Readings> job; ///< of which these are the findings
    /// Per state of the circuit; nothing where it has no working point.
    std::vector<std::optional<StatePrediction>> healthy;
    std::vector<std::optional<StatePrediction>> suspected; ///< as the leading suspect has it
    std::optional<Location> location;
    Problems problems; ///< why something of it is missing
    double milliseconds = 0;
};

/// Throws nothing. Stops early when nobody waits; what it gives then is of no use.
Findings find_out(std::shared_ptr<const Readings> job, const Watch& watch);

/// One state with these faults; nothing where it has no working point.
std::optional<StatePrediction> working_point(const Network& network, int state,
                                             const std::vector<Fault>& faults, Problems* problems = nullptr);

} // namespace lostvolts

// A recorded start on the Bench: the capture with what was read from it, on the start that the circuit
// predicts, healthy and as the leading suspect has it.
#pragma once

#include <optional>
#include <string>

#include "viewer/figures/traces.h"
#include "viewer/window/worker.h"

namespace lostvolts {

struct Recorded {
    std::string path;
    std::optional<TracesView> view;    ///< nothing: problems say why
    std::vector<std::string> cautions; ///< of the analysis
    Problems problems;
};

/// `clamp` as on the command line: "10 mV/A", or empty. `suspected` are the faults of the leading suspect, or
/// none. Throws nothing.
Recorded look_at_capture(const std::string& path, const std::string& clamp, const Circuit& circuit,
                         const std::vector<Fault>& suspected, const Watch& watch);

} // namespace lostvolts

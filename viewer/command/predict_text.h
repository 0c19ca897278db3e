// What a circuit does, as a person reads it: the loads first, then part by part, then point by point.
#pragma once

#include <string>
#include <vector>

#include "solver/network/predict.h"

namespace lostvolts {

/// Loads that are switched off: without any fault next to nothing would reach them, as through the shared
/// ground of the lamp beside. No limit is theirs to keep.
std::vector<PartId> loads_off(const StatePrediction& healthy);

/// What reaches each load that is on, and how each motor runs, one line each.
std::vector<std::string> load_lines(const Circuit& circuit, const StatePrediction& prediction,
                                    const std::vector<PartId>& off);

std::string predict_text(const Circuit& circuit, const StatePrediction& prediction,
                         const std::vector<PartId>& off, int columns);

} // namespace lostvolts

// What a circuit does, as a person reads it: the loads first, then part by part, then point by point.
#pragma once

#include <string>
#include <vector>

#include "solver/network/predict.h"

namespace lostvolts {

/// What reaches each load that is on, and how each motor runs, one line each.
std::vector<std::string> load_lines(const Circuit& circuit, const StatePrediction& prediction);

std::string predict_text(const Circuit& circuit, const StatePrediction& prediction, int columns);

} // namespace lostvolts

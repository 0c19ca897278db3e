// What a circuit does, as a person reads it: the loads first, then part by part, then point by point.
#pragma once

#include <string>

#include "solver/network/predict.h"

namespace lostvolts {

std::string predict_text(const Circuit& circuit, const StatePrediction& prediction, int columns);

/// How a motor runs or a load is supplied, one line each: the check after a repair is read from it too.
std::vector<std::string> load_lines(const Circuit& circuit, const StatePrediction& prediction);

} // namespace lostvolts

// What locate found, as a person beside the machine reads it: the verdict in words, then what it rests on,
// what to measure next, what the circuit should read once mended, and what to mind.
#pragma once

#include <string>

#include "solver/locate/locate.h"

namespace lostvolts {

std::string locate_text(const Readings& readings, const Location& location, int columns);

/// What a reading of this kind is in a predicted state; nothing where the prediction can't tell.
std::optional<double> predicted_value(const StatePrediction& state, const Reading& reading);

} // namespace lostvolts

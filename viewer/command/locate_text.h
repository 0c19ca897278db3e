// What locate found, as a person beside the machine reads it: the verdict in words, then what it rests on,
// what to measure next, what the circuit should read once mended, and what to mind.
#pragma once

#include <string>

#include "solver/locate/locate.h"

namespace lostvolts {

std::string locate_text(const Readings& readings, const Location& location, int columns);

} // namespace lostvolts

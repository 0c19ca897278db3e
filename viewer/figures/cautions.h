// What to mind before touching the machine: short, in every answer that sends somebody to one. Common
// practice as published by makers and the trade, from memory; no standard is quoted.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "solver/circuit/circuit.h"

namespace lostvolts {

/// Those that concern this circuit, the gravest first; the last says what comes before this program's word.
std::vector<std::string> cautions(const Circuit& circuit);

/// What stands on every sizing output besides.
std::string_view sizing_deference();

} // namespace lostvolts

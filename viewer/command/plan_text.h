// The plan of the next readings as somebody reads it with cold hands: what to measure, what it may show, and
// for each of these what it means and where to go on.
#pragma once

#include <string>

#include "solver/locate/locate.h"

namespace lostvolts {

/// Empty when there is no plan.
std::string plan_text(const Readings& readings, const Location& location, int columns);

/// What to do to the circuit to come from one state to another: "current off; take out "pump relay"". From
/// none: as it stands with every switch off. Empty when nothing changes.
std::string way_to_state(const Circuit& circuit, int from, int to);

} // namespace lostvolts

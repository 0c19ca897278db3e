// The starts that a harness's fuses must live through, from the start-up in time.
#pragma once

#include <map>

#include "solver/sizing/sizing.h"

namespace lostvolts {

/// Per fuse that a starting motor's current passes: its current over the hardest start of the states that
/// were sized for, with the sizes chosen. A state whose start-up is not found is left to the closed form.
std::map<PartId, StartCurrent> simulated_starts(const Circuit& circuit, const Sizing& sizing);

} // namespace lostvolts

// Which reading cleared which part: the readings weighed one after the other, in the order they were taken.
#pragma once

#include <vector>

#include "solver/locate/locate.h"

namespace lostvolts {

struct RuledOut {
    int reading = 0;           ///< index: with this one the parts were cleared, and stayed so
    std::vector<PartId> parts; ///< less than 1 % each, and less than a tenth of what they began with
};

/// By reading. Empty for a large circuit with many readings, where it would take seconds.
std::vector<RuledOut> ruled_out(const Readings& readings);

} // namespace lostvolts

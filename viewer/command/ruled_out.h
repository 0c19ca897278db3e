// Which reading cleared which part: the readings weighed one after the other, in the order they were taken,
// for a single fault. Pairs at every reading would take ten times as long; they have their say in what is
// left at the end.
#pragma once

#include <vector>

#include "solver/locate/locate.h"

namespace lostvolts {

struct RuledOut {
    int reading = 0;           ///< index: with this one the parts were cleared, and stayed so
    std::vector<PartId> parts; ///< less than 1 % each, and less than a tenth of what they began with
};

/// By reading. Empty for a large circuit with many readings, where it would take seconds.
/// `whole` is what all the readings located: a part that is not below the limit there isn't cleared.
std::vector<RuledOut> ruled_out(const Readings& readings, const Location& whole);

} // namespace lostvolts

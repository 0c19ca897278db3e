// Every single fault weighed: one of each group that the readings can't tell apart (alike.h), for all of it.
// Inside this room only.
#pragma once

#include "solver/locate/alike.h"
#include "solver/locate/evidence.h"

namespace lostvolts {

std::vector<Evidence> weigh_singles(Weighing& w, const std::vector<Hypothesis>& singles, const Alike& alike);

/// The same evidence for another hypothesis, whose ranges its places then stand in.
Evidence on_behalf_of(const Evidence& evidence, Hypothesis hypothesis);

} // namespace lostvolts

// The verdict of locate in a few sentences: what is bad and how sure that is, or between which suspects it
// lies and what to measure; and which of the readings to take again.
#pragma once

#include <string>

#include "solver/locate/locate.h"

namespace lostvolts {

std::string verdict_text(const Readings& readings, const Location& location);

} // namespace lostvolts

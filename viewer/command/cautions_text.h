// The cautions of a circuit under their heading, for a person at a terminal.
#pragma once

#include <string>

#include "viewer/figures/cautions.h"

namespace lostvolts {

std::string cautions_text(const Circuit& circuit, int columns);

} // namespace lostvolts

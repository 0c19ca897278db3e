// The suspects and how likely each is: a bar, a number and words for each, the likeliest first.
#pragma once

#include "solver/locate/locate.h"
#include "viewer/figures/figure.h"

namespace lostvolts {

Figure suspects_figure(const Circuit& circuit, const Location& location, double width = 720);

} // namespace lostvolts

// The evidence for two faults that both have a size: the probability of the readings integrated over the unit
// square of the two places.
//
// The square is cut into rectangles, each cut across the side along which the prediction bends most. In a
// rectangle the prediction is taken as bilinear between its corners; how far the true one can lie from that
// is known from the cut before, and a rectangle is only passed over when even so it can't hold mass that
// matters (ceiling.h).
#pragma once

#include "solver/locate/evidence.h"

namespace lostvolts {

/// Both faults' sizes integrated over. Rectangles that can't hold e^`least` of evidence are passed over.
Evidence weigh_two_sizes(Weighing& w, const Hypothesis& hypothesis, double least);

} // namespace lostvolts

// A comparison and a sweep as pictures: the table of signatures for the wall, and the curves of a fault that
// grows, with the band that a healthy one may draw.
#pragma once

#include "viewer/command/compare_text.h"
#include "viewer/figures/figure.h"

namespace lostvolts {

Figure compare_picture(const Comparison& c);
Figure sweep_picture(const Stand& stand, const Sweep& sweep);

} // namespace lostvolts

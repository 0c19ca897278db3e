// The colour of each ink, light and dark. Words stand out from the paper by at least 4.5 to 1 and strokes by
// 3 to 1, the grid excepted, which nobody needs to see (WCAG 2.1, 1.4.3 and 1.4.11). Inks that lie beside one
// another keep apart for eyes without one of the three kinds of cones; tests simulate those.
#pragma once

#include "viewer/figures/figure.h"

namespace lostvolts {

/// Red, green and blue of sRGB, each 0 … 1.
struct Colour {
    double red = 0, green = 0, blue = 0;
};

enum class Light { light, dark };

Colour colour_of(Ink ink, Light light);

/// 1 … 21: (L₁ + 0.05)/(L₂ + 0.05) of relative luminances, the lighter first (WCAG 2.1, from memory).
double contrast(Colour a, Colour b);

} // namespace lostvolts

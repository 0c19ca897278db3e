// How often chance alone leaves so much between readings and what a suspect says of them.
#pragma once

namespace lostvolts {

/// P(χ² of so many readings ≥ chi_square). Source: Abramowitz & Stegun 26.4.4 and 26.4.5 (from memory, held
/// against GSL in the tests).
double chance_of_misfit(double chi_square, int readings);

} // namespace lostvolts

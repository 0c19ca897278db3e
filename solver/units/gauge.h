// American wire gauge: the formula that ASTM B258 fixes, from 4/0 (0.46 in) to 36 (0.005 in) in 39 equal
// ratios.
#pragma once

#include "solver/units/quantity.h"

namespace lostvolts {

inline constexpr int smallest_gauge_number = -3; ///< 4/0; 0 is 1/0, -1 is 2/0, -2 is 3/0
inline constexpr int largest_gauge_number = 40;

/// Diameter of an American wire gauge: 0.127 mm·92^((36−n)/39) (ASTM B258).
Length<> gauge_diameter(int gauge);
Area<> gauge_area(int gauge);

} // namespace lostvolts

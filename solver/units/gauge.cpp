#include "solver/units/gauge.h"

#include <cmath>
#include <numbers>

namespace lostvolts {

Length<> gauge_diameter(int gauge) {
    return from_si<Length<>>(0.127e-3 * std::pow(92.0, (36 - gauge) / 39.0));
}

Area<> gauge_area(int gauge) {
    const Length<> d = gauge_diameter(gauge);
    return std::numbers::pi / 4 * d * d;
}

} // namespace lostvolts

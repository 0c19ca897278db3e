// The meters that a class has: a multimeter, a clamp, a tachometer, a test lamp. What they show of a true
// value.
#pragma once

#include "solver/locate/effort.h"

namespace lostvolts {

/// Accuracy as the usual instrument's (solver/locate/instruments.h). Last digits, SI: 10 mV, 0.1 A, 1 rpm,
/// 0.1 ohm. Common practice, no source.
Meter class_meter(Measurand quantity);

/// One for each quantity that is not heard, in the order of the quantities.
std::vector<Meter> class_meters();
/// The reading of a prospect with the meter for it out of class_meters(), before anything is shown.
Reading class_reading(const Prospect& prospect);

/// Standard deviation of what this meter is off at a value (SI).
double class_sigma(Measurand quantity, double value);

} // namespace lostvolts

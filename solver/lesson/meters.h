// The meters that a class has: a multimeter, a clamp, a tachometer. What they show of a true value.
#pragma once

#include "solver/locate/readings.h"

namespace lostvolts {

/// Accuracy as the usual instrument's (solver/locate/weighing.h). Last digits, SI: 10 mV, 0.1 A, 1 rpm.
/// Common practice, no source.
Meter class_meter(Measurand quantity);

/// Standard deviation of what this meter is off at a value (SI).
double class_sigma(Measurand quantity, double value);

} // namespace lostvolts

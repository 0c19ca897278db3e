#include "solver/lesson/meters.h"

#include <numbers>

#include "solver/locate/weighing.h"

namespace lostvolts {

Meter class_meter(Measurand quantity) {
    Meter m;
    m.accuracy = usual_accuracy(quantity);
    m.resolves = quantity;
    if (quantity == Measurand::current) {
        m.name = "clamp";
        m.resolution = 0.1;
    } else if (quantity == Measurand::speed) {
        m.name = "tachometer";
        m.resolution = 1 / rpm_per_si;
    } else {
        m.name = "multimeter";
        m.resolution = 0.01;
    }
    return m;
}

double class_sigma(Measurand quantity, double value) {
    const Meter m = class_meter(quantity);
    return instrument_sigma(m.accuracy, m.resolution, value);
}

} // namespace lostvolts

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
    } else if (quantity == Measurand::resistance) {
        m.name = "ohmmeter";
        m.resolution = 0.1;
    } else if (quantity == Measurand::lamp) {
        m.name = "test lamp";
        m.resolves = std::nullopt;
        m.lights = true;
    } else {
        m.name = "multimeter";
        m.resolution = 0.01;
    }
    return m;
}

std::vector<Meter> class_meters() {
    std::vector<Meter> meters;
    for (const Measurand m :
         {Measurand::voltage, Measurand::current, Measurand::speed, Measurand::resistance, Measurand::lamp})
        meters.push_back(class_meter(m));
    return meters;
}

Reading class_reading(const Prospect& p) {
    Reading r;
    r.state = p.state;
    r.quantity = p.quantity;
    r.red = p.red;
    r.black = p.black;
    r.through = p.through;
    if (p.quantity == Measurand::sound) return r;
    r.meter = static_cast<int>(p.quantity);
    r.resolution = class_meter(p.quantity).resolution;
    return r;
}

double class_sigma(Measurand quantity, double value) {
    const Meter m = class_meter(quantity);
    return instrument_sigma(m.accuracy, m.resolution, value);
}

} // namespace lostvolts

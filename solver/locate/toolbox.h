// What the person has to read with, and how finely it reads.
//
// The rule: everybody has a plain multimeter, for volts and for ohms. A clamp, a tachometer or anything else
// is there when a [[meter]] whose resolution is in its unit is listed, or when a reading of its quantity has
// been taken. A test lamp is there when a [[meter]] is told to light up, when a lamp has been read, and when
// no
// [[meter]] is listed at all. A plain multimeter's ampere jack is not counted: it means opening the circuit,
// and its fuse stands few of the currents here.
#pragma once

#include "solver/locate/readings.h"

namespace lostvolts {

struct Toolbox {
    /// One way to read a quantity: a meter's range.
    struct Range {
        Measurand quantity = Measurand::voltage;
        Accuracy accuracy;
        double resolution = 0; ///< SI
    };
    std::vector<Range> ranges; ///< by quantity, then the finest first
    std::vector<int> lamps;    ///< index into Readings::meters; none: a plain test lamp
    int ohmmeter = none;       ///< the same; none: a plain multimeter
    double lead_ohms = 0;      ///< of the ohmmeter
};

Toolbox toolbox_of(const Readings& job);

bool can_read(const Toolbox& tools, Measurand quantity);

/// One count of the fittest range for this value (SI); 0 when there is none.
double tool_resolution(const Toolbox& tools, Measurand quantity, double value);
/// Standard deviation of what the fittest range would show for this value (SI).
double tool_sigma(const Toolbox& tools, Measurand quantity, double value);

} // namespace lostvolts

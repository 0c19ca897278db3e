// The circuit as a person would sketch it, with what is known about it written beside: sizes, volts and
// amperes of a predicted state, the part that is suspected, where to put the leads next.
#pragma once

#include <string>
#include <vector>

#include "solver/locate/locate.h"
#include "viewer/figures/sketch.h"

namespace lostvolts {

/// A meter's or a lamp's leads, a clamp or an ear, shown at their places.
struct ShownReading {
    PointId red = none, black = none;
    PartId at = none;
    Ink ink = Ink::next;
    Measurand quantity = Measurand::voltage;
};

struct ShownSuspect {
    PartId part = none;
    double probability = 0;
    std::string flag = {}; ///< instead of "suspect 97 %"
};
/// The faults of a condition, shown as what is known to be wrong.
std::vector<ShownSuspect> shown_faults(const std::vector<Fault>& faults);

/// Where letters would get too small to be read, they are up to so many times as large, and there are fewer.
inline constexpr double most_larger = 1.4;

struct LoopView {
    int state = 0;                               ///< how its switches stand
    const StatePrediction* prediction = nullptr; ///< for volts and amperes; may be null
    std::string heading;                         ///< beside the circuit's name
    std::vector<ShownSuspect> suspects;          ///< the first is the leading one
    std::vector<ShownReading> readings;
    PartId chosen = none;           ///< under the pointer or the keys
    std::vector<std::string> notes; ///< sentences below the drawing
    double larger = 1;              ///< letters; above 1 without details of the parts
};

/// Every part and every point has a Target that says its numbers.
Figure loop_figure(const Circuit& circuit, const Sketch& sketch, const LoopView& view);

/// What locate found, for the drawing: suspects from one in twenty upward, the next reading, and sentences
/// that say what each suspect predicts for it. `prediction` is of the state to show.
LoopView view_of(const Readings& readings, const Location& location, const StatePrediction* prediction);

} // namespace lostvolts

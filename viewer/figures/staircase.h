// The voltage staircase: the volts at each point on the way of the current through one load, from the
// source's high post to its low one. The load's own step is cut out and told beside, so that the volts lost
// in the wiring show at their full height.
#pragma once

#include <string>
#include <vector>

#include "solver/locate/readings.h"
#include "viewer/figures/loop.h"
#include "viewer/figures/path.h"

namespace lostvolts {

/// A voltage reading with its meter's half-width of 95 %.
struct MeasuredDrop {
    PointId red = none, black = none;
    double volts = 0, half = 0;
};
/// The voltage readings taken in a state.
std::vector<MeasuredDrop> measured_drops(const Readings& readings, int state);

struct StaircaseView {
    const StatePrediction* prediction = nullptr; ///< the steps drawn
    std::vector<double> bands;                   ///< tolerance_bands(), or empty
    const StatePrediction* healthy = nullptr;    ///< drawn beside, dashed; may be null
    std::vector<MeasuredDrop> measured;
    std::vector<ShownSuspect> suspects;
    std::string heading;
    double width = 900, height = 460;
};

/// Volts above the low post that a step is drawn at: the load's own volts are left out of the feed's points.
std::vector<double> stair_heights(const StatePrediction& prediction, const CurrentPath& path);

Figure staircase_figure(const Circuit& circuit, const CurrentPath& path, const StaircaseView& view);

} // namespace lostvolts

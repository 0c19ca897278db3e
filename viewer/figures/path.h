// The way of the current through one load: from the source's high post along the feed, through the load, and
// back. And how far healthy parts' tolerances let the volts along it wander.
#pragma once

#include <vector>

#include "solver/network/predict.h"
#include "viewer/figures/sides.h"

namespace lostvolts {

struct CurrentPath {
    PartId load = none;
    std::vector<PointId> points; ///< high post first, low post last
    std::vector<PartId> parts;   ///< one fewer; the load among them
    std::size_t load_at = 0;     ///< its index in `parts`
};

/// The load that carries most in a state; none when none carries any.
PartId main_load(const Circuit& circuit, const StatePrediction& prediction);

/// The same among the loads whose current passes a part; the main load when there is none such.
PartId load_behind(const Circuit& circuit, const StatePrediction& prediction, PartId part);

/// Empty when the part lies on no such way.
CurrentPath path_through(const Circuit& circuit, PartId load);

/// Per point of the path, the half-width of 95 % of the volts between it and the post of its own side, by the
/// parts' tolerances (independent, linearised). Empty when there is no working point.
std::vector<double> tolerance_bands(const Network& network, int state, const std::vector<Fault>& faults,
                                    const CurrentPath& path);

} // namespace lostvolts

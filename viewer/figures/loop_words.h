// The words beside a part and a point of the drawn circuit, and those that a click on them gives.
#pragma once

#include <string>

#include "solver/locate/readings.h"
#include "solver/network/predict.h"

namespace lostvolts {

/// "4 mm², 3.4 m", "25 A", "42 W", "12.6 V"; empty where a kind has nothing worth a line.
std::string detail_of(const AnyPart& law);

/// "2.5 mm²", "14 AWG": as on a cable's sleeve.
std::string size_shown(const WireSize& size);

/// On a part: "clamp here", "listen here".
std::string instrument_at(Measurand quantity);
/// On a point, of a lead that is "red" or "black": the colour; "lamp +", "lamp −"; an ohmmeter's are alike.
std::string lead_flag(Measurand quantity, std::string_view colour);

/// Whole sentences: what it is, where it lies, what it does in a state.
std::string part_says(const Circuit& circuit, PartId part, bool coil, const StatePrediction* prediction);
std::string point_says(const Circuit& circuit, PointId point, const StatePrediction* prediction);

} // namespace lostvolts

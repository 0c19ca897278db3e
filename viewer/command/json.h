// The JSON that other programs rely on: DESIGN, "Commands", has the keys. SI units, named in the key's suffix
// or in a "unit" beside; numbers read back as the same doubles; what is not known is null.
#pragma once

#include <nlohmann/json.hpp>

#include "solver/locate/locate.h"

namespace lostvolts {

using Json = nlohmann::ordered_json;

Json json_of(const Problems& problems);
Json json_of(const Circuit& circuit, const Fault& fault);
/// One of locate's "next".
/// `meters` are those that its meter is one of.
Json json_of(const Circuit& circuit, const NextReading& reading, const std::vector<Meter>& meters = {});
double in_rpm(Speed<> speed);
/// One of predict's "states".
Json json_of(const Circuit& circuit, const StatePrediction& prediction);
/// Everything that locate tells.
Json json_of(const Readings& readings, const Location& location);

/// Indented text with an end of line. Text that is not UTF-8 is mended, never thrown at.
std::string written(const Json& json);

} // namespace lostvolts

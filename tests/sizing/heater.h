// A heater on its lead, for the tests of tolerance studies.
#pragma once

#include <string>

#include <fmt/format.h>

namespace lostvolts::testing {

/// 12 V behind 10 mohm, a lead of 40 mohm, a heater of 2 ohm; "" leaves a part the tolerance of its kind.
inline std::string heater_text(const std::string& source, const std::string& lead, const std::string& load) {
    const auto key = [](const std::string& tolerance) {
        return tolerance.empty() ? "" : "tolerance = \"" + tolerance + "\"\n";
    };
    return fmt::format(R"(format = 1
ground = "battery -"
[[part]]
name = "battery"
kind = "battery"
from = "battery -"
to = "battery +"
emf = "12 V"
resistance = "10 mohm"
{}[[part]]
name = "lead"
kind = "wire"
from = "battery +"
to = "heater +"
resistance = "40 mohm"
{}[[part]]
name = "heater"
kind = "heater"
from = "heater +"
to = "battery -"
resistance = "2 ohm"
{})",
                       key(source), key(lead), key(load));
}

} // namespace lostvolts::testing

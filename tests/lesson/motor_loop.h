// A motor on two leads whose answers are short by hand: 12 V without resistance of its own, a feed of 0.1
// ohm, a return of 0.1 ohm, a motor of 0.8 ohm and 0.02 V·s, so that 1 ohm is in the loop.
#pragma once

#include <string>

#include <doctest/doctest.h>

#include "solver/circuit/read.h"
#include "solver/lesson/stand.h"

namespace lostvolts::lesson_tests {

inline constexpr double emf_volts = 12, loop_ohms = 1, motor_ohms = 0.8, constant = 0.02;

/// `load`: the motor's own keys, such as `load = "linear"`. Only the motor's resistance strays, by 10 %.
inline std::string motor_loop(const std::string& load) {
    return R"(format = 1
name = "Winch on a bench"
ground = "battery -"
[[part]]
name = "battery"
kind = "battery"
from = "battery -"
to = "battery +"
emf = "12 V"
resistance = "0.001 mohm"
tolerance = "0 %"
[[part]]
name = "feed"
kind = "wire"
from = "battery +"
to = "switch in"
resistance = "99 mohm"
tolerance = "0 %"
[[part]]
name = "switch"
kind = "switch"
from = "switch in"
to = "motor +"
resistance = "1 mohm"
tolerance = "0 %"
[[part]]
name = "motor"
kind = "motor"
from = "motor +"
to = "motor -"
resistance = "0.8 ohm"
constant = "0.02 V s"
brush_drop = "0 V"
friction = "0 N m"
tolerance = "0 %"
)" + load + R"(
[[part]]
name = "return"
kind = "ground"
from = "motor -"
to = "battery -"
resistance = "100 mohm"
tolerance = "0 %"
[[state]]
name = "run"
closed = ["switch"]
[[state]]
name = "off"
[limits]
whole_loop = "2 V"
)";
}

inline Circuit circuit_of(const std::string& text) {
    auto read = read_circuit_text(text, "circuit.toml");
    REQUIRE(read);
    return *std::move(read);
}

inline Circuit bundled(const std::string& scenario) {
    auto read = read_circuit(LOSTVOLTS_SOURCE "/circuits/" + scenario + "/circuit.toml");
    REQUIRE(read);
    return *std::move(read);
}

inline constexpr const char* scenarios[] = {"glasshouse_winch",    "orchard_sprayer", "radiator_fan",
                                            "snow_plough_spinner", "trailer_lamps",   "workboat_bilge"};

inline Stand stand_of(const Circuit& circuit) {
    auto stand = put_on_stand(circuit);
    REQUIRE(stand);
    return *std::move(stand);
}

} // namespace lostvolts::lesson_tests

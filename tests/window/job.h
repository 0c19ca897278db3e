// A job in a folder of its own: a workboat's wash-down pump with a few readings, and what the tests of the
// window type into it.
#pragma once

#include <fstream>
#include <iterator>
#include <string>

#include "solver/locate/write_readings.h"
#include "tests/command/folder.h"

namespace lostvolts::window_tests {

inline constexpr std::string_view wash_down = R"(format = 1
name = "Workboat, wash-down pump"
ground = "battery -"

[[part]]
name = "battery"
kind = "battery"
from = "battery -"
to = "battery +"
emf = "12.6 V"
resistance = "10 mohm"

[[part]]
name = "feed"
kind = "wire"
from = "battery +"
to = "switch in"
resistance = "12 mohm"

[[part]]
name = "deck switch"
kind = "switch"
from = "switch in"
to = "pump +"

[[part]]
name = "pump"
kind = "motor"
from = "pump +"
to = "pump -"
rated = "12 V"
run_current = "9 A"
stall_current = "26 A"
run_speed = "3000 rpm"

[[part]]
name = "pump ground"
kind = "ground"
from = "pump -"
to = "battery -"
resistance = "5 mohm"

[[state]]
name = "run"
closed = ["deck switch"]
[[state]]
name = "stall"
closed = ["deck switch"]
locked = ["pump"]
)";

inline constexpr std::string_view wash_down_readings = R"(# Low tide, afternoon.
circuit = "circuit.toml"

[[reading]]
state = "run"
quantity = "voltage"
red = "battery +"   # clip on the post
black = "battery -"
value = "12.53 V"
)";

struct Job {
    command_tests::Folder folder{};
    std::string circuit = folder.write("circuit.toml", wash_down);
    std::string readings = folder.write("readings.toml", wash_down_readings);
};

inline std::string content(const std::string& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

/// Volts across the ground of the pump: what a bad one reads.
inline WrittenReading over_the_ground(std::string value) {
    WrittenReading r;
    r.state = "run";
    r.quantity = "voltage";
    r.red = "pump -";
    r.black = "battery -";
    r.value = std::move(value);
    return r;
}

} // namespace lostvolts::window_tests

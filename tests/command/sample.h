// A workboat's bilge pump: as text for the commands that read files, and as values for those that show them.
#pragma once

#include <string>
#include <string_view>

#include "solver/locate/locate.h"
#include "viewer/command/command.h"

namespace lostvolts::command_tests {

// With numbers whose answers are short by hand: 12 V behind 0.1 ohm; wires of 0.1 ohm each way; 3.7 ohm of
// heater. 12 V over 4 ohm is 3 A.
extern const std::string_view heater_circuit;

// A motor, a fuse, a switch, two states, a condition.
extern const std::string_view pump_circuit;
extern const std::string_view pump_readings; ///< what corroded_ground reads, to two decimals

/// Battery, feed, ground and motor; states "run" and "stall".
Circuit sample_circuit();
/// Two readings in "run": volts over the ground, amperes through the pump.
Readings sample_readings();
/// The ground located with 97 %, the feed at 2 %, the rest healthy and not modelled.
Location sample_location();

} // namespace lostvolts::command_tests

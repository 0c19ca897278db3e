// Circuits to time: the bundled ones, and a harness of any size written out as a circuit file.
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "solver/network/operate.h"

namespace lostvolts::bench {

/// A circuit file of about `parts` parts: along a trunk of wires branch after branch of fuse, wire, load and
/// ground; loads take turns (motor, lamp, heater, electronic), every tenth branch has a relay. Every twenty
/// branches the trunk gets a battery, so that what a load gets does not depend on the harness's size.
std::string harness_text(int parts);

/// A bundled circuit, read and checked; ends the program when it can't be.
std::shared_ptr<const Circuit> bundled_circuit(std::string_view scenario);
std::shared_ptr<const Circuit> circuit_from_text(std::string_view text);

/// What the working point leaves over by Kirchhoff's current law, as a share of the largest current (of 10 mA
/// where none is larger).
double leftover_share(const Operating& at);

/// Ends the program: nothing is timed when an answer is wrong.
[[noreturn]] void refuse_to_time(const std::string& why);

} // namespace lostvolts::bench

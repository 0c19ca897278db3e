// DESIGN.md's circuit, in full: what the tests of this room read, spoil and edit.
#pragma once

namespace lostvolts {

inline constexpr const char* sprayer = R"toml(format = 1
name = "Orchard sprayer, rinse pump"
ground = "battery -"                     # the point that reads 0 V
temperature = "25 degC"                  # surroundings

[[part]]
name = "battery"
kind = "battery"
from = "battery -"
to = "battery +"
emf = "12.6 V"                           # or charge = "85 %"
resistance = "9 mohm"                    # or cold_cranking = "600 A"

[[part]]
name = "main feed"
kind = "wire"
from = "battery +"
to = "fuse bus"
size = "10 mm2"                          # or "8 AWG"
length = "1.6 m"

[[part]]
name = "fuse 4"
kind = "fuse"
from = "fuse bus"
to = "relay 30"
rating = "25 A"

[[part]]
name = "pump switch"
kind = "switch"
from = "fuse bus"
to = "relay 86"

[[part]]
name = "coil return"
kind = "wire"
from = "relay 85"
to = "battery -"
size = "1 mm2"
length = "2 m"

[[part]]
name = "pump relay"
kind = "relay"                           # contact between from and to; the coil is part of it
from = "relay 30"
to = "relay 87"
contact = "3 mohm"
coil_from = "relay 86"
coil_to = "relay 85"
coil = "85 ohm"
pull_in = "7.2 V"

[[part]]
name = "pump feed"
kind = "wire"
from = "relay 87"
to = "pump +"
size = "2.5 mm2"
length = "3 m"

[[part]]
name = "rinse pump"
kind = "motor"
from = "pump +"
to = "pump -"
rated = "12 V"                           # nameplate way …
run_current = "9 A"
stall_current = "24 A"
run_speed = "3400 rpm"
load = "quadratic"
bars = 8                                 # commutator bars

[[part]]
name = "pump ground"
kind = "ground"
from = "pump -"
to = "battery -"

[[point]]                                # optional: what it takes to put a probe there
name = "pump +"
access = "25 min"
note = "drop the tank guard; back-probe the connector"

[[state]]
name = "run"
closed = ["pump switch"]
[[state]]
name = "stall"
closed = ["pump switch"]
locked = ["rinse pump"]                  # rotor held: also the first instant of every start
[[state]]
name = "bridged"
bridged = ["pump relay"]                 # a fused jumper in place of the relay contact
[[state]]
name = "relay out"
removed = ["pump relay"]

[[condition]]                            # a named set of faults, for teaching and what-if
name = "corroded pump ground"
fault = [{ part = "pump ground", kind = "high resistance", value = "180 mohm" }]

[limits]                                 # optional; otherwise the usual trade limits, each marked as common practice
connection = "0.1 V"
whole_loop = "0.5 V"
)toml";

} // namespace lostvolts

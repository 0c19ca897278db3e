// Random harnesses as vehicles and machines have them, sound and sensibly sized: what a person would draw
// before looking for a fault. (random_circuit.h draws circuits that only have to be solvable.)
#pragma once

#include <array>
#include <string_view>

#include "tests/network/random_circuit.h"

namespace lostvolts::testing {

enum class Family {
    series,        ///< one load on one loop
    branched,      ///< several loads on a common feed, each with a return of its own
    shared_ground, ///< several loads, some with a feed of their own from the bus, on one common return
};
inline constexpr std::array families{Family::series, Family::branched, Family::shared_ground};
std::string_view name_of(Family family);

/// About `size` parts (never more than two beyond it; a series loop at most 24): battery, feed of wires,
/// fuses, switches, joints and at times a relay with its coil's own circuit; motors, lamps and heaters;
/// grounds. Conductors are sized for their current: healthy drops of 10 to 150 mV each. States: run, each
/// motor held (two at most), a load unplugged, the relay bridged, a branch alone. Points take one minute to
/// reach, some five, some up to twenty-five.
Circuit random_harness(Random& random, Family family, int size);

} // namespace lostvolts::testing

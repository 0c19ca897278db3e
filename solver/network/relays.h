// Relays at a working point: which of them their coils move, and what to say when they find no rest.
#pragma once

#include "solver/network/operate.h"

namespace lostvolts {

/// Closes every free relay whose coil's winding gets its pull-in voltage and opens those below drop-out.
/// Gives the ones that moved.
std::vector<PartId> move_relays(const Network& network, Setup& setup, const Operating& at);

/// Relays that go on moving, in words of the circuit.
Problem chattering(const Network& network, const Setup& setup, const std::vector<PartId>& moving);

} // namespace lostvolts

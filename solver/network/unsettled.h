// What to say of a circuit that finds no working point. Inside this room only.
#pragma once

#include "solver/network/operate.h"

namespace lostvolts {

/// Names the part whose line still moves most: there the trouble shows.
Problem no_working_point(const Network& network, const Setup& setup, const Workspace& work);

} // namespace lostvolts

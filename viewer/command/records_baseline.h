// lostvolts records baseline: what is usual for a circuit, and whether a new capture or set of readings is
// so.
#pragma once

#include "viewer/command/commands.h"

namespace lostvolts {

Command add_records_baseline(CLI::App& records);

} // namespace lostvolts

// What nothing can meet: which segment, and by how much. Inside this room only.
#pragma once

#include "solver/sizing/demands.h"

namespace lostvolts {

/// The load that is farthest over its limit with the model's states solved at the thickest sizes.
Problem too_much_lost(const SizingModel& model);
/// The same for one wire alone.
Problem wire_over_rule(const SizingModel& model, std::size_t wire);
/// Why no size of a wire stands open.
Problem no_size(const SizingModel& model, const Demands& demands, std::size_t wire);
/// Why no fuse does.
Problem no_fuse(const SizingModel& model, const FuseDemand& demand, PartId fuse);

} // namespace lostvolts

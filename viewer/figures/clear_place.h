// Where a flag goes: the first of some places at which it hides least of the lines that are drawn.
#pragma once

#include <vector>

#include "viewer/figures/shapes.h"

namespace lostvolts {

/// How much of the lines lies within a box, in points. Lines run level or upright.
double length_within(const Box& box, const std::vector<std::vector<Position>>& lines);

/// The flag's middle. A place from which it would reach out of the room is moved in.
Position clear_place(const std::vector<Position>& places, FlagSize flag, const Box& room,
                     const std::vector<std::vector<Position>>& lines);

} // namespace lostvolts

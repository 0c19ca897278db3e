// What is to be seen of wires once they have places: where they cross, where they meet, what they run
// through. Inside this room only; each takes little more time than there are wires, as every way of placing
// is asked.
#pragma once

#include <vector>

#include "viewer/figures/sketch.h"

namespace lostvolts {

/// Of wires that don't meet, from left to right.
std::vector<Position> crossings_of(const std::vector<SketchLine>& lines);

/// Where at least three pieces of one net meet.
std::vector<Position> joints_of(const std::vector<SketchLine>& lines);

/// Names and values that an upright wire runs through.
int struck_names(const Circuit& circuit, const Sketch& sketch);

inline constexpr double touching = 0.5; ///< points of a picture: nearer is the same place

inline bool is_level(const SketchLine& l) { return l.a.y - l.b.y < touching && l.b.y - l.a.y < touching; }
inline bool is_plumb(const SketchLine& l) { return l.a.x - l.b.x < touching && l.b.x - l.a.x < touching; }

} // namespace lostvolts

// Where everything of a circuit lies when it is drawn as a person would sketch it: the source at the left,
// the feed along the top, loads hanging between feed and return, the return along the bottom. A branch that
// leaves a feed lies below it and nearer to the source, so branches nest and don't cross where the circuit
// allows that. Long chains are folded. Only places here; symbols and words are the figure's (loop.h).
#pragma once

#include <vector>

#include "viewer/figures/figure.h"

namespace lostvolts {

struct PlacedPart {
    PartId part = none;
    bool coil = false;
    Position at;            ///< middle of its symbol
    bool upright = false;   ///< stands in a vertical line
    bool from_first = true; ///< its `from` end is the left one, or the upper
    double room = 0;        ///< for words: along a row; beside an upright part
};

struct PlacedPoint {
    PointId point = none;
    Position at;
    double room = 0; ///< for its name, below and to the right
};

/// A straight piece of wire.
struct SketchLine {
    Position a, b;
    PointId net = none;
    PartId part = none; ///< whose current it carries; none: a bus or a bar
};

struct Sketch {
    double width = 0, height = 0;
    std::vector<PlacedPart> parts;   ///< every part once; a relay's coil as another
    std::vector<PlacedPoint> points; ///< every point once, in the circuit's order
    std::vector<SketchLine> lines;
    std::vector<Position> joints;    ///< where three or more wires meet
    std::vector<Position> crossings; ///< of wires that don't meet, from left to right
    int struck = 0;                  ///< names that another wire runs through
};

/// Room that the figure's words may use.
inline constexpr double sketch_above = 58; ///< over a row: a part's name, detail and value
inline constexpr double sketch_below = 40; ///< under a row: a point's name and volts
inline constexpr double sketch_cell = 104; ///< a part in a row
inline constexpr double sketch_left = 26;

/// Chosen among foldings and orders of branches for few crossings and for a width near `aspect` times the
/// height.
Sketch sketch(const Circuit& circuit, double aspect = 1.6);

} // namespace lostvolts

// A picture as plain data: strokes, fills, marks and words in the order they are painted, and the targets a
// hand may point at. Rooms above paint it: paper with Cairo, window with SFML. No drawing library here, so
// what a picture says can be tested as text.
//
// Lengths are in points (1/72 inch at a scale of 1), x to the right, y downward, the origin at the top left.
#pragma once

#include <string>
#include <variant>
#include <vector>

#include "solver/circuit/circuit.h"

namespace lostvolts {

/// What a thing is, not what colour it has: a theme (viewer/figures/theme.h) gives each ink its colour, light
/// and dark, safe for colour-blind eyes. An ink is never the only sign: dashes, marks and words tell it too.
enum class Ink {
    paper,     ///< the ground of the picture
    text,      ///< words
    quiet,     ///< axes, ticks, lesser words
    grid,      ///< lines to read values by
    wire,      ///< conductors of the drawn circuit
    part,      ///< outlines of parts
    predicted, ///< what the circuit should do
    healthy,   ///< the sound circuit beside a faulty one
    faulty,
    measured, ///< what a meter or a capture showed
    suspect,  ///< where the volts are lost
    next,     ///< the reading to take next
    limit,    ///< a line not to be crossed
    good,
    bad
};

struct Position {
    double x = 0, y = 0;
};

enum class Dash { solid, dashed, dotted };

struct Stroke {
    std::vector<Position> path;
    Ink ink = Ink::text;
    double width = 1;
    Dash dash = Dash::solid;
};

/// A filled outline, closed by itself.
struct Fill {
    std::vector<Position> outline;
    Ink ink = Ink::part;
    double opacity = 1; ///< 0 … 1
};

enum class MarkShape { dot, ring, square, diamond, triangle, cross, ground, arrow_right, arrow_down };

struct Mark {
    Position at;
    MarkShape shape = MarkShape::dot;
    double size = 6; ///< across
    Ink ink = Ink::text;
};

enum class Align { start, middle, end };

struct Words {
    Position at;      ///< on the base line
    std::string text; ///< UTF-8, one line
    double size = 10; ///< height of the type
    Align align = Align::start;
    Ink ink = Ink::text;
    bool bold = false;
    bool upright = false; ///< turned a quarter to the left: along a vertical axis
};

using Shape = std::variant<Stroke, Fill, Mark, Words>;

/// A rectangle that answers to a pointer, and what it stands for.
struct Target {
    Position low, high; ///< top left and bottom right
    PointId point = none;
    PartId part = none;
    std::string says; ///< its numbers in words, for a click or a screen reader
};

struct Figure {
    double width = 0, height = 0;
    std::string title;
    std::string says; ///< the picture in a sentence or two: what a person who can't see it should know
    std::vector<Shape> shapes; ///< painted in this order
    std::vector<Target> targets;
    double type = 0; ///< of the names that have to be read; 0: the picture as a whole is what counts
};

} // namespace lostvolts

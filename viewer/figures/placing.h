// One way of placing a circuit's parts: rows stacked outward from the band in which the loads hang. Inside
// this room only; sketch.h chooses among several.
//
// Rows are counted from the band, 1 next to it. A chain of parts takes the lowest row that is free over its
// whole length once everything nearer to the source has been placed, so that later branches lie outside the
// earlier ones.
#pragma once

#include <vector>

#include "viewer/figures/sides.h"

namespace lostvolts {

struct PlacingStyle {
    int fold = 99;       ///< parts in a row before a chain is folded
    int stack = 99;      ///< branches of a point over one another, before the next begins further right
    bool gather = false; ///< returns run to a bus beneath them instead of each to its end
    bool beside = true;  ///< a branching point is moved right, past what is there, rather than above it
};

/// What hangs at a feed point, in the order it is drawn, innermost first: connections, or roots of their own.
struct FeedItem {
    int connection = none;
    PointId root = none;
};
using FeedOrder = std::vector<std::vector<FeedItem>>; ///< per point
FeedOrder usual_order(const Circuit& circuit, const Sides& sides);

struct RowPlace {
    double x = 0;
    int row = 0;     ///< > 0: above the band by so many rows; < 0 below; 0: in the middle of the band
    double lift = 0; ///< in the band: −1 its top … 1 its bottom
};

struct PlacedLine {
    RowPlace a, b;
    PointId net = none;
    PartId part = none;
};

struct PlacedSymbol {
    int connection = none; ///< none: a part of the source's column
    PartId part = none;
    RowPlace at;
    bool upright = false;
    bool from_first = true;
    double room = 0;
};

struct Placing {
    std::vector<PlacedSymbol> symbols;
    std::vector<PlacedLine> lines;
    std::vector<RowPlace> points;   ///< per point
    std::vector<double> point_room; ///< per point
    double width = 0;
    int rows_above = 1, rows_below = 1;
};

Placing place(const Sides& sides, const FeedOrder& order, const PlacingStyle& style);

} // namespace lostvolts

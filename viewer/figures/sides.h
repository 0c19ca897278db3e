// The two sides of a circuit's loop, found before it is drawn: the feed, a tree that branches from the
// source's high post; the return, a tree that gathers at its low post; and the rungs between them, where the
// loads are. Parts that close a loop within one side are its links.
#pragma once

#include <vector>

#include "solver/circuit/circuit.h"

namespace lostvolts {

/// A part between two points; a relay's coil is one of its own.
struct Connection {
    PartId part = none;
    bool coil = false;
    PointId from = none, to = none;
};

enum class Side : char { feed, back };

struct Sides {
    std::vector<Connection> connections; ///< all but those of the source's column
    PointId high = none, low = none;     ///< the roots of feed and return
    /// What stands in the column of the source, upward from `low`: batteries in series and what joins them.
    std::vector<PartId> column;
    std::vector<PointId> column_points; ///< one more than parts: low first, high last

    std::vector<Side> side;                 ///< per point
    std::vector<int> to_parent;             ///< per point: connection towards its root, or none
    std::vector<std::vector<int>> children; ///< per point: connections to points further out
    std::vector<std::vector<int>> rungs;    ///< per point: connections to the other side
    std::vector<int> links;                 ///< connections between two points of one side
    std::vector<PointId> extra_roots;       ///< feed points with no way to `high`, and taps of the column

    PointId other_end(int connection, PointId here) const {
        const Connection& c = connections[static_cast<std::size_t>(connection)];
        return c.from == here ? c.to : c.from;
    }
};

/// A point lies on the side whose root it reaches across fewer loads, then fewer parts; the feed's when even.
Sides find_sides(const Circuit& circuit);

} // namespace lostvolts

// A walk whose parts and points have their names, and the file that is made of it. Inside this room only.
#pragma once

#include <string>
#include <vector>

#include "solver/circuit/walk_line.h"

namespace lostvolts {

/// How a relay's coil is fed, which a walk does not tell: by a switch from where the contact is, behind
/// whatever fuse there is, and grounded at the source's minus.
struct GuessedCoil {
    std::string plus, minus;      ///< its ends, terminals 86 and 85
    std::string switched, ground; ///< the parts that are guessed
};

/// A line of the walk with its two ends.
struct Leg {
    WalkLine line;
    std::string from, to;
    GuessedCoil coil; ///< a relay's
};

/// What it takes to reach a point.
struct WalkedPoint {
    std::string name, access, note;
    int line = 0;
};

struct WalkedRoute {
    std::string title;
    std::string minus; ///< of the first source: reads 0 V
    double volts = 0;  ///< the highest that a source or a load names
    std::vector<Leg> legs;
    std::vector<WalkedPoint> points;
};

struct WrittenRoute {
    std::string toml;
    std::vector<int> walked; ///< by line of the file, from 1: the walk's line that it comes from, or 0
    std::vector<std::string> guesses;
};
WrittenRoute write_route(const WalkedRoute& route);

} // namespace lostvolts

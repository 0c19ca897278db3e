// What each kind of part looks like: the general symbols of IEC 60617 where there is one (battery, fuse,
// switch, coil, motor, lamp, resistor, diode, capacitor: from memory), a plain shape of our own for joints.
#pragma once

#include <vector>

#include "solver/parts/all.h"
#include "viewer/figures/figure.h"

namespace lostvolts {

/// How a part is drawn in a state.
struct SymbolLook {
    bool coil = false;   ///< the coil of a relay
    bool closed = false; ///< switch or relay contact
    bool upright = false;
    bool from_first = true; ///< its `from` end is the left one, or the upper
    Ink ink = Ink::part;
};

struct Symbol {
    std::vector<Shape> shapes; ///< in place
    double half = 0;           ///< along the wire, to each side
    double tall = 0;           ///< across it
};

Symbol symbol_of(const AnyPart& law, Position at, const SymbolLook& look);

} // namespace lostvolts

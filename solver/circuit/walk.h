// A circuit told as a walk along the wires: a line a part, in the order in which the current meets them, from
// a source's plus round to its minus. Whoever has walked it once has a circuit file, with the points named
// and the usual states in it, to be mended by hand from there.
//
//   battery 12.6 V 600 A
//   wire main feed 16 mm2 0.5 m
//   fuse 40 A to fuse box, 2 min
//   relay winch relay 85 ohm
//   motor tarp winch 12 V 22 A 90 A 2800 rpm
//   ground winch bolt to chassis
//   from fuse box                                (another branch; without "to" a branch ends at the source's
//   minus) lamp work lamp 12 V 55 W to chassis
#pragma once

#include "solver/circuit/circuit.h"

namespace lostvolts {

struct WalkedCircuit {
    std::string toml; ///< the circuit's file; what the words typed for a value stands in it as typed
    Circuit circuit;  ///< the same, read
    std::vector<std::string> guesses; ///< what was not told and a file needs, a sentence each
};

/// `file` is the walk's name in messages; the circuit is called `title` unless a line names it. Errors: every
/// mistake, at its line of the walk.
Result<WalkedCircuit> circuit_of_walk(std::string_view walk, const std::string& file,
                                      const std::string& title);

/// Whether a text begins as a walk does and no circuit's file can: with a source's line, or a name without
/// "=".
bool is_walk(std::string_view text);

} // namespace lostvolts

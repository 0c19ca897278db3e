// What one or two faults make of a state's readings, from the one factorisation of the sound state.
//
// A fault changes the current of its own branch, and the bent parts (motors, lamps, controllers) then move
// along their curves. Those few branches are ports. With v₀ what stands across them in the sound circuit, Z
// the volts across each for an ampere through another, and u by how much a port's current departs from its
// sound straight line,
//     v = v₀ − Z·u(v)
// is a system of a handful of unknowns, and every reading follows as y = y₀ − A·u. Readings' adjoints, and
// with them the slopes against the parts' numbers, change by a term of the same rank (Woodbury). Nothing is
// neglected: the answer is the working point's own to rounding. Where the straight part splits or a relay
// would move, the question goes back to operate().
//   Source: M. A. Woodbury, Inverting modified matrices (1950); ports of a linear network: Thévenin's
//   theorem.
#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "solver/network/measure.h"

namespace lostvolts {

/// Which numbers stray, sound or in any fault, and how far a sound one does.
struct StrayingNumbers {
    std::vector<double> deviations;    ///< per number of the network
    std::vector<int> column_of_number; ///< per number; none: it is known exactly
    std::vector<int> number_of_column;
    int columns() const { return static_cast<int>(number_of_column.size()); }
};
StrayingNumbers strays_of(const Network& network);

/// What an ampere through an edge, from its a to its b outside of it, makes of the network.
struct EdgeColumn {
    std::int32_t edge = none;
    std::vector<double> nodes; ///< volts per node
    std::vector<double> rows;  ///< volts across the branch of every row of strays
    std::vector<double> norms; ///< what bounds are made of; empty until asked for
};

/// A number that strays and the straight branch whose current it moves by constant + slope·volts, in units of
/// its deviation. One row a column, in its order; after them further branches of the same number.
struct StrayRows {
    std::vector<std::int32_t> edge;
    std::vector<double> constant, slope, volts;
    std::vector<int> column_of_extra;
    std::size_t size() const { return edge.size(); }
    int column(std::size_t row) const {
        const std::size_t own = edge.size() - column_of_extra.size();
        return row < own ? static_cast<int>(row) : column_of_extra[row - own];
    }
};

/// A port's part at the answer: what its numbers do to its current, and how far they stray.
struct FaultPortNumbers {
    NumberSlopes slopes;
    std::array<double, most_numbers> deviations;
};

/// What read_with_faults() reckons in; allocated once.
struct FaultScratch {
    std::vector<FaultPortNumbers> numbers;
    std::vector<EdgeColumn*> columns;
    std::vector<double> z, volts, u, matrix, right, here, slopes, by, own_slopes, weights, shares;
};

struct SoundState {
    Setup setup;
    Operating at;
    Factor factor;
    std::vector<std::int32_t> sections; ///< per node, empty when nothing floats
    std::vector<Probe> probes;
    std::vector<char> apart;    ///< per probe: its leads stand in two sections
    std::vector<double> values; ///< per probe, the meter's own loading left out
    std::vector<EdgeColumn>
        adjoints; ///< per probe: of a voltage, the volts between its leads; else its part's
    std::vector<std::vector<int>> direct_rows; ///< per probe on a part: rows that it sees in its own branch
    std::vector<int> relays;                   ///< parts that their coils move
    std::vector<double> norms;                 ///< per probe: of its sound moves by the straight parts
    std::vector<int> bent;                     ///< parts
    std::vector<Line> bent_lines;
    StrayRows rows;
    std::vector<EdgeColumn> columns; ///< the bent parts' first, then those last asked for
    std::vector<int> place_of_edge;  ///< in `columns`, or none
    std::size_t next_place = 0;
    FaultScratch scratch;
};

/// Nothing when the state has no working point.
std::optional<SoundState> sound_state(const Network& network, Setup setup, std::span<const Probe> probes,
                                      const StrayingNumbers& strays, Workspace& work);

/// The column of an edge, from the few that are kept.
EdgeColumn& column_of(const Network& network, SoundState& state, std::int32_t edge);

/// What the probes show with these faults in, and `moved`, probe by probe: by how much a deviation of each
/// column's number moves it (a row's worth of places each, the columns first). False when it takes operate()
/// to tell.
bool read_with_faults(const Network& network, const StrayingNumbers& strays, SoundState& state,
                      std::span<const Fault> faults, std::vector<double>& values, std::vector<double>& moved);

/// The same, but of the moves only a number per probe that their root of squares does not exceed, at a cost
/// that does not grow with the circuit once the faults' columns are there: by the triangle inequality over
/// the terms that the faults add.
bool bound_with_faults(const Network& network, const StrayingNumbers& strays, SoundState& state,
                       std::span<const Fault> faults, std::vector<double>& values, std::vector<double>& most);

/// Norms of a column over the rows: per probe with its adjoint and the slopes, with the sound moves, and the
/// fourth root of the squared slopes times its fourth powers.
const std::vector<double>& norms_of(const SoundState& state, EdgeColumn& column);

} // namespace lostvolts

// The hypotheses that readings are weighed against: nothing wrong, something not modelled, or one fault or
// two, each of one kind in one part with a size somewhere in its range. Prior odds come from the kinds
// (solver/parts/fault.h).
#pragma once

#include <array>
#include <vector>

#include "solver/network/network.h"

namespace lostvolts {

/// One fault whose size is not known: between low and high, evenly likely in log size (ohms) or in size
/// (shares).
struct FaultRange {
    PartId part = none;
    FaultKind kind = FaultKind::high_resistance;
    double low = 0, high = 0; ///< SI; both 0 where the kind has no size
    double odds = 0;

    bool sized() const { return size_of(kind) != FaultSize::none; }
    bool logarithmic() const { return size_of(kind) == FaultSize::ohms; }
    /// The size at a place in the range: 0 is low, 1 is high.
    double size_at(double place) const;
    /// … and back; 0 where it has no size.
    double place_of(double size) const;
};

struct Hypothesis {
    std::vector<FaultRange> faults; ///< empty: healthy
    double log_prior = 0;
};

/// Before any reading. Somebody measures because something seems wrong, so healthy is one in ten; a drawing
/// that is wrong, or a fault of no kind listed here, is one in fifty (what it reads: unmodelled.h). The rest
/// has a fault, and one in twenty of those has two: faults come independently, so each pair's share goes by
/// the product of its two odds. Three at once are left to "not modelled". Common practice, no source.
inline constexpr double prior_healthy = 0.10;
inline constexpr double prior_unmodelled = 0.02;
inline constexpr double prior_two = 0.05; ///< of the faulty

/// Healthy first, then every single fault of every part. `typical_amps` is what each part carries when
/// healthy, at the most over the states: a resistance matters from 0.1 V at that current (the trade's limit
/// for a joint) upwards. A short to ground at a point that never stands 0.1 V from ground, sound, changes
/// nothing that anybody would complain of, and is no suspect.
std::vector<Hypothesis> single_faults(const Network& network, const std::vector<double>& typical_amps,
                                      const std::vector<double>& typical_volts);

/// Every two of these single faults that can be there at once, as indices into `singles`: any two on
/// different parts, and on one part two that have a size and don't undo each other.
std::vector<std::array<int, 2>> pairs_of(const std::vector<Hypothesis>& singles);

/// ln Σ over pairs of the product of odds: what log_prior_of_both() normalises by.
double log_odds_of_pairs(const std::vector<Hypothesis>& singles,
                         const std::vector<std::array<int, 2>>& pairs);
double log_prior_of_both(const Hypothesis& a, const Hypothesis& b, double log_odds);

/// The two at once; of two faults the one with a size comes first.
Hypothesis both(const Hypothesis& a, const Hypothesis& b, double log_odds);

} // namespace lostvolts

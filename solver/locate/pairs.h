// Two faults at once: every pair of the single faults, weighed unless a bound shows that it can't matter.
//
// What a pair reads is estimated from what its two faults read each alone. In a linear network a fault
// changes the current of its own branch, and all readings follow in proportion to that change. With both in,
// each fault's change is scaled by what the other leaves of the current (of a short: the volts) at its place:
//     y = y₀ + α·(y_A − y₀) + β·(y_B − y₀),   α = ρ_A/(1 − (1 − ρ_A)·(1 − ρ_B)),   β likewise,
// where ρ_A is what B alone leaves at A's place as a share of the sound circuit's. That is exact where parts
// are linear: two rank-one changes of one matrix (Woodbury). A motor or a lamp bends it, so the estimate
// carries as errors a share of the faults' interplay, y − y_A − y_B + y₀, and a share of the larger change
// where one fault moves the other's working point. Two faults without size are always solved, and one of them
// with a sized one where the readings look at all as it has them. That is an estimate and no proof: corners
// of the lattice lie outside it by more than a standard deviation in one of thirty cases (lamps) to one of
// seven (a regulator at its limit). What was held against the weighing of every pair is the posterior, in
// tests/locate/pairs_test.cpp.
//   Source: M. A. Woodbury, Inverting modified matrices (1950), from memory.
// Pairs that the readings can't tell apart are weighed as one (alike.h); with a fault that shows nowhere, a
// pair weighs what the other weighs alone. Of the rest, from the estimate on the lattice of the sizes tried
// comes a bound on each pair's evidence. Pairs are then weighed by falling bound, by the circuit itself,
// until all that are left can't weigh more together than `passed_over_share` of everything.
#pragma once

#include "solver/locate/alike.h"
#include "solver/locate/evidence.h"

namespace lostvolts {

inline constexpr double passed_over_share = 1e-3;
/// Beyond so many single faults (about 100 parts) pairs are not weighed.
inline constexpr std::size_t most_singles_paired = 400;

struct WeighedPair {
    std::array<int, 2> singles{}; ///< which, in the order of its evidence's faults but for their sizes
    int evidence = none;          ///< in the study; none: one of the two shows nowhere, and it is the other's
    double log_prior = 0, log_evidence = 0;

    double log_weight() const { return log_prior + log_evidence; }
};

struct PairStudy {
    std::vector<WeighedPair> weighed;
    std::vector<Evidence> evidence; ///< one for all pairs that the readings can't tell apart (alike.h)
    int considered = 0;             ///< all pairs there are
    double log_passed_over = 0;     ///< ln of the bound on what the others weigh, all together
};

/// `singles` are judged and refined; `log_total` is ln of what all hypotheses so far weigh.
PairStudy weigh_pairs(Weighing& w, const std::vector<Evidence>& singles, const Alike& alike, double log_total,
                      double share = passed_over_share);

/// For tests: each pair by itself and finely, none passed over.
PairStudy weigh_every_pair(Weighing& w, const std::vector<Evidence>& singles, double log_total);

/// Of a pair that has one, as its own two faults.
Evidence evidence_of(const PairStudy& study, const WeighedPair& pair, const std::vector<Hypothesis>& singles);

/// The estimate of both, the first at its tried size i and the second at its j, and the error it carries per
/// reading; for tests. Nothing where it says nothing: a part that carries nothing in the sound circuit but
/// does with the other fault in.
struct PairEstimate {
    Eigen::VectorXd mean, error;
};
std::optional<PairEstimate> estimate_pair(Weighing& w, const std::vector<Evidence>& singles,
                                          std::array<int, 2> pair, int i, int j);

} // namespace lostvolts

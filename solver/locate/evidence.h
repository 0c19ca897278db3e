// The evidence for a hypothesis: the probability of the readings with the fault's size integrated over its
// range, and what the readings then say of the size.
//
// The range is walked on few sizes first. Between two of them the prediction is a chord; how far the true
// curve can lie from it is known from its bend, so an interval is only passed over when even that can't lift
// it within reach of the leading hypothesis. Where it matters it is halved until the chord is good.
#pragma once

#include <vector>

#include "solver/locate/weighing.h"

namespace lostvolts {

/// One size tried: its place in the range (0 … 1), what it predicts, and how well.
struct Tried {
    double place = 0;
    Predicted predicted;
    double log_likelihood = 0; ///< or, where that can't matter, a bound that it lies below
    double beside = 0;         ///< place of the second fault's size
};

/// The posterior over the size, on points fine enough to integrate: its density against place, a straight
/// line between neighbours, and its integral from the first point.
struct SizePoint {
    double place = 0;
    double density = 0;
    double before = 0;
    double beside = 0; ///< mean place of the second fault's size, given this one
};

/// 5 %, 50 % and 95 % of the posterior (SI); 0 for a fault without size.
struct SizeRange {
    double low = 0, middle = 0, high = 0;
};

struct Evidence {
    Hypothesis hypothesis;
    std::vector<Tried> tried;         ///< by rising place where one fault has a size
    std::vector<SizePoint> posterior; ///< of the first fault, by rising place; empty for one without size
    double log_evidence = 0;          ///< ln ∫ p(readings | size) d(place), without the prior
    std::vector<SizeRange> sizes;     ///< per fault

    double log_weight() const { return hypothesis.log_prior + log_evidence; }
};

/// The first walk: a few sizes, evenly over the range with both ends among them.
inline constexpr int first_sizes = 9;
Evidence try_sizes(Weighing& w, const Hypothesis& hypothesis);

/// The same with no more than a bound on each likelihood, for many hypotheses and judge() after them: it
/// takes the likeliest by the bound first, and leaves those that can't come within reach of the best. Returns
/// the leader: ln prior + ln likelihood of the best, or `leader` when that is higher. With `roughly` the
/// tolerances too are no more than bounds until a size is judged: for circuits of many hundred parts.
Evidence predict_sizes(Weighing& w, const Hypothesis& hypothesis, bool roughly = false);
double judge(Weighing& w, std::vector<Evidence>& all, double leader);

/// Refines wherever the hypothesis can come within reach of `leader` (ln prior + ln likelihood of the best so
/// far), then integrates. Of two faults only the first may have a size (two_sizes.h is for both).
void refine(Weighing& w, Evidence& evidence, double leader);

/// All three for one hypothesis, on half the sizes first: where even the bends between those can't bring it
/// within reach of the leader, its evidence stays as coarse as they have it.
Evidence weigh_sizes(Weighing& w, const Hypothesis& hypothesis, double leader);

/// The fault of the hypothesis at a place of its range; of two faults `beside` is the second's place.
std::vector<Fault> faults_at(const Hypothesis& hypothesis, double place, double beside = 0.5);
std::vector<Fault> faults_at(const Hypothesis& hypothesis, const Tried& tried);

/// The faults at a share (0 … 1) of the posterior over the first one's size.
std::vector<Fault> faults_at(const Evidence& evidence, double share);

/// The likeliest of the sizes tried.
const Tried& best_of(const Evidence& e);

/// The place at a share (0 … 1) of the posterior over the (first) size.
double place_at(const Evidence& evidence, double share);

/// Above ln p of these readings under any blunders that log_likelihood() sums, and costs no inverse.
double most_likely(const Measured& measured, const Predicted& predicted);

} // namespace lostvolts

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
    double log_likelihood = 0;
};

/// The posterior over the size, on points fine enough to integrate: its density against place, a straight
/// line between neighbours, and its integral from the first point.
struct SizePoint {
    double place = 0;
    double density = 0;
    double before = 0;
};

struct Evidence {
    Hypothesis hypothesis;
    std::vector<Tried> tried;             ///< by rising place
    std::vector<SizePoint> posterior;     ///< by rising place; empty for a fault without size
    double log_evidence = 0;              ///< ln ∫ p(readings | size) d(place), without the prior
    double low = 0, middle = 0, high = 0; ///< sizes at 5 %, 50 % and 95 % of the posterior (SI)
};

/// The first walk: a few sizes, the end points among them.
Evidence try_sizes(Weighing& w, const Hypothesis& hypothesis);

/// Refines wherever the hypothesis can come within reach of `leader` (ln prior + ln likelihood of the best so
/// far), then integrates.
void refine(Weighing& w, Evidence& evidence, double leader);

/// The fault of the hypothesis at a place of its range.
std::vector<Fault> faults_at(const Hypothesis& hypothesis, double place);

/// The likeliest of the sizes tried.
const Tried& best_of(const Evidence& e);

/// The place at a share (0 … 1) of the posterior over the size.
double place_at(const Evidence& evidence, double share);

} // namespace lostvolts

// How much a reading would tell: the mutual information between "which suspect" and "what the meter shows".
//
//     I = Σ_r P(r) · ∫ p(y|r) · log₂( p(y|r) / p(y) ) dy        bits
//
// Each rival's p(y|r) is a sum of bells: one per size of its fault, as wide as the tolerances, the meter and
// the step between neighbouring sizes make it. The integral is taken over panels that are cut at every bell's
// own widths, three Gauss–Legendre points in each, so that a narrow bell inside a wide one is not missed.
//
// What is told in words is a sum instead of an integral. An ohmmeter says "open" or shows a number: what the
// word tells, and where it is a number what that tells beyond it.
// Source: D. V. Lindley, Ann. Math. Statist. 27 (1956); nodes, Abramowitz & Stegun table 25.4 (memory).
#pragma once

#include <cstddef>
#include <vector>

#include "solver/locate/told.h"

namespace lostvolts {

struct Bell {
    double mean = 0, variance = 0; ///< of the number; an infinite variance: it may be anything
    double weight = 0;             ///< of all bells together 1, or any other constant
    int rival = 0;
    Chances says{}; ///< of a word instead of a number
};

/// Mutual information between rival and reading, bits; every variance above 0.
double information(const std::vector<Bell>& bells, std::size_t rivals);

/// ½·ln(1 + variance between / variance within), nats: quick, and never far from the order of the real thing.
/// A rival that stands apart from all others counts even when its probability is small.
double screened_information(const std::vector<Bell>& bells);

} // namespace lostvolts

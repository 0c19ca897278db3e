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

#include <algorithm>
#include <array>
#include <cmath>
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

/// What word and rival tell of one another, nats: of weights of both together, a row per rival, that may sum
/// to anything.
template <std::size_t words> double nats_shared(const std::vector<std::array<double, words>>& both) {
    const auto x_log_x = [](double x) { return x > 0 ? x * std::log(x) : 0; };
    std::array<double, words> word{};
    double sum = 0, total = 0;
    for (const auto& row : both) {
        double rival = 0;
        for (std::size_t k = 0; k < words; ++k) {
            sum += x_log_x(row[k]);
            word[k] += row[k], rival += row[k];
        }
        sum -= x_log_x(rival);
        total += rival;
    }
    if (std::any_of(word.begin(), word.end(), [&](double w) { return w == total; })) return 0;
    for (const double w : word) sum -= x_log_x(w);
    return std::max((sum + x_log_x(total)) / total, 0.0);
}

/// Mutual information between rival and reading, bits; every variance above 0.
double information(const std::vector<Bell>& bells, std::size_t rivals);

/// ½·ln(1 + variance between / variance within), nats: quick, and never far from the order of the real thing.
/// A rival that stands apart from all others counts even when its probability is small.
double screened_information(const std::vector<Bell>& bells);

} // namespace lostvolts

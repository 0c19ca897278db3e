#include "solver/locate/likelihood.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <numeric>

#include <Eigen/Cholesky>

#include "solver/locate/inverse.h"

namespace lostvolts {
namespace {

const double log_2pi = std::log(2 * std::numbers::pi);

/// Two readings, both blunders, each with its leads swapped or anything at all.
struct Pair {
    Eigen::Index i = 0, j = 0;
    double log_p = 0;
    bool i_swapped = false, j_swapped = false;
};

/// Pairs are summed over the readings that stand out most: any other pair weighs less than each of its two
/// alone.
constexpr std::size_t most_paired = 10;

/// A term of the sum that lies so far below the largest is nothing, in ln; and how far a pair's correlation
/// can lift it, in ln, unless it is all but perfect.
constexpr double nothing = 40, correlated = 7, all_but_perfect = 1e-6;

/// The terms of the sum over blunders, as logarithms.
struct Terms {
    double none = 0;                // no blunder
    Eigen::VectorXd swapped, broad; // one
    std::vector<Pair> two;
    double most = 0;           // largest of all
    Eigen::VectorXd alpha;     // K·(y − μ)
    Eigen::VectorXd precision; // K's diagonal
};

/// C, with or without the zero that all currents share.
Eigen::MatrixXd covariance_of(const Measured& m, const Predicted& p, bool zero_forgotten) {
    Eigen::MatrixXd c = p.tolerance;
    c.diagonal() += m.variance;
    if (zero_forgotten) c.noalias() += m.zero * m.zero.transpose();
    return c;
}

/// What was measured less what is foretold, but no further off than so many standard deviations: a number
/// read where there is no path at all lies gigohms off, and of a density to that power a blunder's, which is
/// a difference of such, would keep no digit.
Eigen::VectorXd error_of(const Measured& m, const Predicted& p, const Eigen::MatrixXd& c) {
    constexpr double furthest = 1e5;
    const Eigen::VectorXd most = furthest * c.diagonal().cwiseSqrt();
    return (m.value - p.mean).cwiseMin(most).cwiseMax(-most);
}

Terms terms_of(const Measured& m, const Predicted& p, const Eigen::MatrixXd& c) {
    const Eigen::Index n = m.value.size();
    const Eigen::VectorXd error = error_of(m, p, c);
    Eigen::MatrixXd k = c;
    const double log_det = invert(k);

    Terms t;
    t.alpha = k * error;
    t.precision = k.diagonal();
    const double all = -0.5 * (static_cast<double>(n) * log_2pi + log_det + error.dot(t.alpha));
    const double right = std::log1p(-blunder_share);
    t.none = all + static_cast<double>(n) * right;
    t.swapped.resize(n);
    t.broad.resize(n);
    t.most = t.none;
    const double log_swapped = std::log(blunder_share * swapped_share);
    Eigen::VectorXd log_k(n), log_blunder(n);
    Eigen::VectorXd turn(n); // ln by which the density changes when the reading is turned round
    for (Eigen::Index i = 0; i < n; ++i) {
        const double kii = t.precision[i], own = t.alpha[i] * t.alpha[i] / kii;
        log_k[i] = std::log(kii);
        log_blunder[i] = std::log(blunder_share * (1 - swapped_share) / m.span[i]);
        turn[i] = 2 * m.value[i] * (t.alpha[i] - kii * m.value[i]);
        const double rest = all + 0.5 * (log_2pi - log_k[i] + own) + static_cast<double>(n - 1) * right;
        t.swapped[i] = all + static_cast<double>(n - 1) * right + log_swapped + turn[i];
        t.broad[i] = rest + log_blunder[i];
        t.most = std::max({t.most, t.swapped[i], t.broad[i]});
    }
    const auto add = [&](const Pair& pair) {
        if (pair.log_p < t.most - nothing) return;
        t.two.push_back(pair);
        t.most = std::max(t.most, pair.log_p);
    };
    std::vector<Eigen::Index> standing(static_cast<std::size_t>(n));
    std::iota(standing.begin(), standing.end(), Eigen::Index{0});
    const auto stands_out = [&](Eigen::Index a, Eigen::Index b) {
        return t.alpha[a] * t.alpha[a] * t.precision[b] > t.alpha[b] * t.alpha[b] * t.precision[a];
    };
    if (standing.size() > most_paired) {
        std::nth_element(standing.begin(), standing.begin() + most_paired, standing.end(), stands_out);
        standing.resize(most_paired);
    }
    std::sort(standing.begin(), standing.end());
    for (std::size_t a = 0; a < standing.size(); ++a)
        for (std::size_t b = a + 1; b < standing.size(); ++b) {
            const Eigen::Index i = standing[a], j = standing[b];
            const double det = k(i, i) * k(j, j) - k(i, j) * k(i, j);
            const double own = (k(j, j) * t.alpha[i] * t.alpha[i] - 2 * k(i, j) * t.alpha[i] * t.alpha[j] +
                                k(i, i) * t.alpha[j] * t.alpha[j]) /
                               det;
            const double but_det = all + log_2pi + 0.5 * own + static_cast<double>(n - 2) * right +
                                   log_blunder[i] + log_blunder[j];
            if (det <= all_but_perfect * k(i, i) * k(j, j) ||
                but_det - 0.5 * (log_k[i] + log_k[j]) + correlated > t.most - nothing)
                add({i, j, but_det - 0.5 * std::log(det)});
            const double plain = all + static_cast<double>(n - 2) * right, across = k(i, j);
            add({i, j, plain + 2 * log_swapped + turn[i] + turn[j] - 4 * across * m.value[i] * m.value[j],
                 true, true});
            for (const auto& [s, b] : {std::pair{i, j}, std::pair{j, i}}) { // s swapped, b broad
                const double left = t.alpha[b] - 2 * across * m.value[s];
                add({s, b,
                     plain + log_swapped + log_blunder[b] + turn[s] +
                         0.5 * (log_2pi - log_k[b] + left * left / t.precision[b]),
                     true, false});
            }
        }
    return t;
}

double total_of(const Terms& t) {
    double sum = 0;
    const auto add = [&](double log_p) {
        if (log_p > t.most - nothing) sum += std::exp(log_p - t.most);
    };
    add(t.none);
    for (Eigen::Index i = 0; i < t.swapped.size(); ++i) add(t.swapped[i]), add(t.broad[i]);
    for (const Pair& pair : t.two) add(pair.log_p);
    return t.most + std::log(sum);
}

/// ln of the two cases, each with its share.
struct Cases {
    double sound = 0, forgotten = -std::numeric_limits<double>::infinity();
};

Cases cases_of(const Measured& m, const Predicted& p) {
    Cases cases;
    cases.sound = total_of(terms_of(m, p, covariance_of(m, p, false)));
    if (m.zero.size() == 0) return cases;
    cases.sound += std::log1p(-forgotten_zero_share);
    cases.forgotten = std::log(forgotten_zero_share) + total_of(terms_of(m, p, covariance_of(m, p, true)));
    return cases;
}

/// A word's two ways: meant, and a blunder.
struct WordCases {
    double meant = 0, blunder = 0;
};

WordCases word_cases(const Told& told, double number, double variance) {
    return {(1 - blunder_share) * chance_of(told.sense, told.word, number, variance),
            blunder_share / words_of(told.sense)};
}

double chance_told(const WordCases& word) { return word.meant + word.blunder; }

double log_words(const Measured& m, const Predicted& p) {
    double sum = 0;
    for (std::size_t k = 0; k < m.told.size(); ++k) {
        const auto row = static_cast<Eigen::Index>(k);
        const WordCases word = word_cases(m.told[k], p.told[row], p.told_variance[row]);
        sum += std::log(chance_told(word));
    }
    return sum;
}

/// How far the zero is off, the readings that are right known: z·zᵀ's share of what they deviate by.
double zero_of(const Measured& m, const Predicted& p, const Eigen::MatrixXd& c,
               const std::vector<Eigen::Index>& right) {
    const Eigen::VectorXd z = m.zero(right);
    const Eigen::VectorXd error = m.value(right) - p.mean(right);
    const Eigen::MatrixXd among = c(right, right);
    return z.maxCoeff() * z.dot(among.llt().solve(error));
}

} // namespace

Chances chances_of(Sense sense, double mean, double variance) {
    Chances chances{};
    for (int word = 0; word < static_cast<int>(most_words); ++word)
        if (is_word_of(sense, word))
            chances[static_cast<std::size_t>(word)] = chance_told(word_cases({sense, word}, mean, variance));
    return chances;
}

double log_sum(double a, double b) { return std::max(a, b) + std::log1p(std::exp(-std::abs(a - b))); }

double log_likelihood(const Measured& measured, const Predicted& predicted) {
    const double words = log_words(measured, predicted);
    if (measured.value.size() == 0) return words;
    const Cases cases = cases_of(measured, predicted);
    return words + log_sum(cases.sound, cases.forgotten);
}

Scrutiny scrutinise(const Measured& measured, const Predicted& predicted) {
    const Eigen::Index n = measured.value.size();
    Scrutiny s;
    s.blunder = s.swapped = s.expected = s.sigma = Eigen::VectorXd::Zero(n);
    s.told_blunder.resize(static_cast<Eigen::Index>(measured.told.size()));
    for (std::size_t k = 0; k < measured.told.size(); ++k) {
        const auto row = static_cast<Eigen::Index>(k);
        const WordCases word =
            word_cases(measured.told[k], predicted.told[row], predicted.told_variance[row]);
        s.told_blunder[row] = word.blunder / chance_told(word);
    }
    if (n == 0) return s;
    const Cases cases = cases_of(measured, predicted);
    s.zero_forgotten = std::exp(cases.forgotten - log_sum(cases.sound, cases.forgotten));
    const Eigen::MatrixXd c = covariance_of(measured, predicted, s.zero_forgotten > 0.5);
    const Terms t = terms_of(measured, predicted, c);
    const double total = total_of(t);
    for (Eigen::Index i = 0; i < n; ++i) {
        s.swapped[i] = std::exp(t.swapped[i] - total);
        s.blunder[i] += s.swapped[i] + std::exp(t.broad[i] - total);
    }
    for (const Pair& pair : t.two) {
        const double both = std::exp(pair.log_p - total);
        s.blunder[pair.i] += both;
        s.blunder[pair.j] += both;
        if (pair.i_swapped) s.swapped[pair.i] += both;
        if (pair.j_swapped) s.swapped[pair.j] += both;
    }
    // Each reading against the others that are right: condition on those alone.
    std::vector<Eigen::Index> right;
    for (Eigen::Index i = 0; i < n; ++i)
        if (s.blunder[i] < 0.5) right.push_back(i);
    // One inverse of the right ones serves all: a right one given the rest of them is y − α/K_ii, of variance
    // 1/K_ii; one that is wrong is conditioned on all of them.
    const Eigen::MatrixXd between = c(right, right);
    const Eigen::LLT<Eigen::MatrixXd> factor(between);
    const Eigen::VectorXd error = measured.value(right) - predicted.mean(right);
    const auto m = static_cast<Eigen::Index>(right.size());
    const Eigen::MatrixXd inverse = factor.solve(Eigen::MatrixXd::Identity(m, m));
    const Eigen::VectorXd alpha = inverse * error;
    for (Eigen::Index k = 0; k < m; ++k) {
        const Eigen::Index i = right[static_cast<std::size_t>(k)];
        s.expected[i] = measured.value[i] - alpha[k] / inverse(k, k);
        s.sigma[i] = 1 / std::sqrt(inverse(k, k));
    }
    for (Eigen::Index i = 0; i < n; ++i) {
        if (s.blunder[i] < 0.5) continue;
        const Eigen::VectorXd link = c(right, std::vector<Eigen::Index>{i});
        s.expected[i] = predicted.mean[i] + link.dot(alpha);
        s.sigma[i] = std::sqrt(std::max(c(i, i) - link.dot(inverse * link), 1e-300));
    }
    s.right = static_cast<int>(right.size());
    s.chi_square = error.dot(alpha);
    if (!right.empty() && s.zero_forgotten > 0.5) s.zero_amps = zero_of(measured, predicted, c, right);
    return s;
}

} // namespace lostvolts

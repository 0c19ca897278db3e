#include "solver/locate/ceiling.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <vector>

#include "solver/locate/inverse.h"

namespace lostvolts {
namespace {

constexpr std::size_t most_paired = 10;
constexpr double still = 1e-3; // standard deviations, squared
const double log_2pi = std::log(2 * std::numbers::pi);

/// W⁻¹ = C⁻¹ − lower·lowerᵀ, and what is asked of it.
struct Reduced {
    Eigen::MatrixXd lower;
    Eigen::ArrayXd alpha, precision; // W⁻¹·r, and its diagonal
    double square = 0;               // rᵀ·W⁻¹·r
    double log_determinant = 0;      // of W over C
    double moving = 0;               // columns along which anything moves: the others add nothing
};

/// Column by column, as a Cholesky factor of I + Dᵀ·C⁻¹·D is made row by row; columns lie one after another
/// and what is nothing is passed over, which a library's products of this size don't.
Reduced reduce(const Inverted& c, const Eigen::VectorXd& r, const Eigen::MatrixXd& spread) {
    const Eigen::Index n = r.size(), columns = spread.cols();
    Reduced w;
    w.lower.setZero(n, columns);
    w.alpha = Eigen::ArrayXd::Zero(n);
    w.precision = c.inverse.diagonal();
    for (Eigen::Index k = 0; k < n; ++k) w.alpha += r[k] * c.inverse.col(k).array();
    Eigen::VectorXd pivots = Eigen::VectorXd::Ones(columns);
    for (Eigen::Index j = 0; j < columns; ++j) {
        auto own = w.lower.col(j);
        bool moves = false;
        for (Eigen::Index k = 0; k < n; ++k) {
            if (spread(k, j) == 0) continue;
            own += spread(k, j) * c.inverse.col(k);
            moves = true;
        }
        if (!moves) continue;
        const double in_deviations = own.dot(spread.col(j));
        if (in_deviations > still) w.moving += 1;
        double pivot = 1 + in_deviations;
        for (Eigen::Index i = 0; i < j; ++i) {
            if (pivots[i] == 1) continue;
            const double share = w.lower.col(i).dot(spread.col(j)); // of the factor's row
            pivot -= share * share;
            own -= share * w.lower.col(i);
        }
        pivots[j] = std::max(pivot, 1.0); // W is never less than C
        own /= std::sqrt(pivots[j]);
        w.alpha -= own.dot(r) * own.array();
        w.precision -= own.array().square();
    }
    w.square = r.dot(w.alpha.matrix());
    w.log_determinant = log_product(pivots);
    w.precision = w.precision.max(1e-12 * c.inverse.diagonal().array());
    return w;
}

/// Leads swapped: how far −y lies from the prediction, three deviations forgiven.
double as_swapped(double value, double mean, double variance) {
    const double off = std::max(std::abs(value + mean) - 3 * std::sqrt(variance), 0.0);
    return std::log(blunder_share * swapped_share) - 0.5 * off * off / variance;
}

} // namespace

Inverted inverted(const Measured& measured, const Eigen::MatrixXd& tolerance) {
    Eigen::MatrixXd c = tolerance;
    c.diagonal() += measured.variance;
    const double log_determinant = invert(c);
    return {std::move(c), log_determinant};
}

double price_of_blunder(const Measured& m, Eigen::Index i, double mean, double variance) {
    const double broad =
        std::log(blunder_share / m.span[i] * std::sqrt(2 * std::numbers::pi * m.variance[i]));
    return std::min(std::max(broad, as_swapped(m.value[i], mean, variance)), 0.0);
}

Ceiling ceiling_over(const Measured& m, const Inverted& c, const Eigen::VectorXd& mean,
                     const Eigen::MatrixXd& spread) {
    const Eigen::Index n = m.value.size();
    if (n == 0) return {}; // only words were told
    const Reduced w = reduce(c, m.value - mean, spread);
    const Eigen::ArrayXd &alpha = w.alpha, &k = w.precision;
    const Eigen::ArrayXd own = alpha.square() / k;

    double most = 0; // over no blunder
    for (Eigen::Index i = 0; i < n; ++i) {
        const double apiece = blunder_share / m.span[i];
        if (0.5 * own[i] <= most && apiece * apiece * 2 * std::numbers::pi <= k[i]) continue;
        const double off = -m.value[i] - (m.value[i] - alpha[i] / k[i]);
        const double swapped = std::log(blunder_share * swapped_share) - 0.5 * off * off * k[i];
        const double broad = std::log(apiece * std::sqrt(2 * std::numbers::pi / k[i]));
        most = std::max(most, 0.5 * own[i] + std::max(broad, swapped));
    }
    std::vector<Eigen::Index> standing(static_cast<std::size_t>(n));
    std::iota(standing.begin(), standing.end(), Eigen::Index{0});
    const std::size_t kept = std::min(most_paired, standing.size());
    std::partial_sort(standing.begin(), standing.begin() + static_cast<std::ptrdiff_t>(kept), standing.end(),
                      [&](Eigen::Index a, Eigen::Index b) { return own[a] > own[b]; });
    for (std::size_t a = 0; a < kept; ++a)
        for (std::size_t b = a + 1; b < kept; ++b) {
            const Eigen::Index i = standing[a], j = standing[b];
            const double kij = c.inverse(i, j) - w.lower.row(i).dot(w.lower.row(j));
            const double det = std::max(k[i] * k[j] - kij * kij, 1e-12 * k[i] * k[j]);
            const double both =
                (k[j] * alpha[i] * alpha[i] - 2 * kij * alpha[i] * alpha[j] + k[i] * alpha[j] * alpha[j]) /
                det;
            const double density =
                2 * std::numbers::pi / std::sqrt(det) * blunder_share / m.span[i] * blunder_share / m.span[j];
            if (density > 1 || 0.5 * both > most) most = std::max(most, 0.5 * both + std::log(density));
        }
    const double none = -0.5 * (static_cast<double>(n) * log_2pi + c.log_determinant + w.square) +
                        static_cast<double>(n) * std::log1p(-blunder_share);
    const double ways = most > 0 ? std::log(1 + 0.5 * static_cast<double>(n * (n + 1))) : 0;
    return {none + most + ways + 0.5 * w.moving, none + most - 0.5 * w.log_determinant};
}

} // namespace lostvolts

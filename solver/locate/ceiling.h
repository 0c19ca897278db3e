// Above what no likelihood in a stretch of sizes lies, without a new inverse for every stretch.
//
// In a stretch the prediction is μ + D·t with every |tᵢ| at most 1: its half-changes, and how far it may lie
// from a straight line. With C the covariance, r the readings less μ and W = C + D·Dᵀ,
//     rᵀ·W⁻¹·r = the least over t of (r − D·t)ᵀ·C⁻¹·(r − D·t) + tᵀ·t,
// so that −½ of it, plus ½ per column of D, bounds ln of the density over its peak. W⁻¹ is C⁻¹ less a term of
// D's rank (Woodbury), and the terms of the sum over blunders are those of likelihood.h with W in C's place.
#pragma once

#include <Eigen/Core>

#include "solver/locate/likelihood.h"

namespace lostvolts {

/// The covariance of a prediction, meters' errors in, and its inverse.
struct Inverted {
    Eigen::MatrixXd inverse;
    double log_determinant = 0;
};
Inverted inverted(const Measured& measured, const Eigen::MatrixXd& tolerance);

struct Ceiling {
    double most = 0; ///< ln p nowhere lies above it
    double mean = 0; ///< about its average, were every t Gaussian with deviation 1
};
/// `mean`: μ. `spread`: D.
Ceiling ceiling_over(const Measured& measured, const Inverted& c, const Eigen::VectorXd& mean,
                     const Eigen::MatrixXd& spread);

/// What calling a reading a blunder costs, at the best: ln of its density as one over its likeliest sound
/// one.
double price_of_blunder(const Measured& measured, Eigen::Index reading, double mean, double variance);

} // namespace lostvolts

// The inverse of a covariance of a few readings, written out: for a dozen of them a library's blocked code
// spends most of its time on getting ready.
#pragma once

#include <Eigen/Core>

namespace lostvolts {

/// Inverts a symmetric positive definite matrix in place, by sweeping it over each pivot; returns ln of its
/// determinant. Source: the sweep operator, Goodnight, The American Statistician 33 (1979), from memory.
double invert(Eigen::MatrixXd& c);

/// Σ ln x of positive numbers, each within 1e±150, by few logarithms.
double log_product(const Eigen::Ref<const Eigen::VectorXd, 0, Eigen::InnerStride<>>& numbers);

/// m·mᵀ, rows lying one after another.
using MoveRows = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
Eigen::MatrixXd squared(const MoveRows& m);

} // namespace lostvolts

// How probable a set of readings is, given what a hypothesis predicts: those that are numbers, and those told
// in words.
//
// The prediction is Gaussian: its mean from the circuit, its covariance C = meter variance + G·Gᵀ + J·Σ·Jᵀ,
// where Σ holds the healthy parts' tolerances, J the slopes of every reading against every number and G what
// a meter's gain takes along in all its readings (instruments.h). Beside that,
// each reading may be a blunder on its own account, with share ε: the leads swapped (it then tells minus what
// it should), or anything at all within the instrument's span. The sum over no blunder, each one and each
// pair of them is exact and costs one inverse: with K = C⁻¹ and α = K·(y − μ), leaving out the set B
// multiplies the density by
//     (2π)^(|B|/2) · |K_BB|^(−1/2) · exp(½·α_Bᵀ·K_BB⁻¹·α_B),
// and turning a set round, leads swapped, by exp(2·y_Bᵀ·(α_B − K_BB·y_B)), with α less 2·K·y_B for the rest.
// A clamp drifts, and every current read with it is then off by the same amount: with share ζ all currents
// carry one zero of standard deviation z, which adds z·zᵀ to C. Both cases are summed. A word counts on its
// own, by told.h, or with share ε as any of its sense's words: words are coarse, so what links them through
// the tolerances is neglected. Source: partitioned Gaussian, any multivariate statistics text; combining
// meter and tolerance, JCGM 100 (GUM) 5.2.
#pragma once

#include <vector>

#include <Eigen/Core>

#include "solver/locate/told.h"

namespace lostvolts {

/// Share of readings that are blunders, and of those with the leads swapped. Common practice, no source.
inline constexpr double blunder_share = 0.02;
inline constexpr double swapped_share = 0.3;
/// Share of jobs in which the clamp's zero was forgotten. Common practice, no source.
inline constexpr double forgotten_zero_share = 0.03;

/// A reading told in words.
struct Told {
    Sense sense = Sense::lamp;
    int word = 0;
};

/// What is measured, the same for every hypothesis.
struct Measured {
    Eigen::VectorXd value;
    Eigen::VectorXd variance; ///< of the instrument, what differs from reading to reading
    /// What is off alike in all readings of one meter on one range: readings × meters, by a deviation of its
    /// gain. Every Predicted::tolerance has G·Gᵀ in it.
    Eigen::MatrixXd gain;
    Eigen::VectorXd span; ///< width over which a blunder may fall, in the reading's unit
    Eigen::VectorXd zero; ///< standard deviation of a forgotten zero; empty when it can't be told apart
    std::vector<Told> told;
};

/// What a hypothesis says of it.
struct Predicted {
    Eigen::VectorXd mean;
    Eigen::MatrixXd tolerance; ///< J·Σ·Jᵀ, and G·Gᵀ of the meters
    Eigen::VectorXd told;      ///< the number behind each word
    Eigen::VectorXd told_variance;
    bool rough = false; ///< of the tolerance there is no more than a bound on its diagonal
};

/// The chance of each word when the number behind it has this mean and variance, blunders and all: what a
/// word that was told is weighed by.
Chances chances_of(Sense sense, double mean, double variance);

/// ln(eᵃ + eᵇ); either may stand for nothing at all.
double log_sum(double a, double b);

/// ln p(readings | prediction), blunders and a forgotten zero summed over.
double log_likelihood(const Measured& measured, const Predicted& predicted);

/// Reading by reading, under one prediction.
struct Scrutiny {
    Eigen::VectorXd blunder;      ///< probability that this reading is a blunder
    Eigen::VectorXd swapped;      ///< … of the kind with leads swapped
    Eigen::VectorXd expected;     ///< given the others that are not blunders
    Eigen::VectorXd sigma;        ///< of measured − expected
    double chi_square = 0;        ///< of the readings that are more likely right than not
    int right = 0;                ///< how many those are
    double zero_forgotten = 0;    ///< probability that the clamp's zero was
    double zero_amps = 0;         ///< and by how much it then is off
    Eigen::VectorXd told_blunder; ///< probability that this word is one
};
Scrutiny scrutinise(const Measured& measured, const Predicted& predicted);

} // namespace lostvolts

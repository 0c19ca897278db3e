#include "solver/waveform/start_fit.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "solver/waveform/start_curve.h"

namespace lostvolts {
namespace {

// The unknowns, in this order; logarithms keep what must be positive positive.
enum Unknowns { emf, upstream, log_downstream, log_inductance, log_rate, run, friction, onset, count };
using Vector = Eigen::Matrix<double, count, 1>;
using Matrix = Eigen::Matrix<double, count, count>;

constexpr double held = 1e-12; // sigma of a prior that pins an unknown
constexpr int most_rounds = 60;

CurveNumbers numbers(const Vector& x) {
    return {.emf = x[emf],
            .ohms = std::max(1e-9, x[upstream] + std::exp(x[log_downstream])),
            .inductance = std::exp(x[log_inductance]),
            .rate = std::exp(x[log_rate]),
            .run_amps = x[run],
            .friction_share = std::clamp(x[friction], 0.0, 1.0),
            .onset = x[onset]};
}

struct Misfit {
    const StartData& data;
    Vector prior, prior_sigma;
    std::vector<std::size_t> with_amps, with_volts;

    Eigen::Index rows() const {
        return static_cast<Eigen::Index>(with_amps.size() + with_volts.size()) +
               (data.resting_volts ? 1 : 0) + count;
    }
    Eigen::VectorXd left_over(const Vector& x) const {
        Eigen::VectorXd r(rows());
        const std::vector<double> i = block_currents(numbers(x), data);
        Eigen::Index n = 0;
        for (const std::size_t b : with_amps)
            r[n++] = (data.blocks[b].amps - i[b]) / data.blocks[b].amps_sigma;
        for (const std::size_t b : with_volts)
            r[n++] = (data.blocks[b].volts - (x[emf] - x[upstream] * i[b])) / data.blocks[b].volts_sigma;
        if (data.resting_volts) r[n++] = (*data.resting_volts - x[emf]) / data.resting_sigma;
        for (int k = 0; k < count; ++k) r[n++] = (x[k] - prior[k]) / prior_sigma[k];
        return r;
    }
    Eigen::MatrixXd slopes(const Vector& x, const Vector& scale) const {
        Eigen::MatrixXd j(rows(), static_cast<Eigen::Index>(count));
        for (int k = 0; k < count; ++k) {
            Vector a = x, b = x;
            const double h = prior_sigma[k] <= 1e-11 ? 0 : 1e-4 * scale[k];
            if (h == 0) {
                j.col(k).setZero();
                j(rows() - count + k, k) = 1 / prior_sigma[k];
                continue;
            }
            a[k] += h;
            b[k] -= h;
            if (k == friction) { // one-sided at an end of its range
                a[k] = std::min(a[k], 1.0);
                b[k] = std::max(b[k], 0.0);
            }
            j.col(k) = (left_over(a) - left_over(b)) / (a[k] - b[k]);
        }
        return j;
    }
};

/// Covariance that allows neighbours' errors to go together.
Matrix covariance(const Misfit& p, const Eigen::MatrixXd& j, const Eigen::VectorXd& r) {
    const Matrix bread = (j.transpose() * j).inverse();
    const auto data_rows = p.rows() - count;
    Matrix meat = Matrix::Zero();
    const auto runs = {static_cast<Eigen::Index>(p.with_amps.size()),
                       static_cast<Eigen::Index>(p.with_volts.size())};
    Eigen::Index first = 0;
    for (const Eigen::Index n : runs) {
        constexpr Eigen::Index lags = 8;
        for (Eigen::Index a = 0; a < n; ++a)
            for (Eigen::Index lag = 0; lag <= lags && a + lag < n; ++lag) {
                const double w = (1 - static_cast<double>(lag) / (lags + 1)) * r[first + a] *
                                 r[first + a + lag] * (lag == 0 ? 0.5 : 1);
                const Matrix both = j.row(first + a).transpose() * j.row(first + a + lag);
                meat += w * (both + both.transpose());
            }
        first += n;
    }
    // The priors and the resting level speak for themselves.
    for (Eigen::Index k = first; k < p.rows(); ++k) meat += j.row(k).transpose() * j.row(k);
    const Matrix robust = bread * meat * bread;
    const double excess = std::max(1.0, r.head(data_rows).squaredNorm() /
                                            std::max<double>(1.0, static_cast<double>(data_rows - count)));
    // Whichever is the more careful, unknown by unknown, keeping the correlations of the plain one.
    Vector grow;
    for (int k = 0; k < count; ++k) grow[k] = std::sqrt(std::max(excess, robust(k, k) / bread(k, k)));
    return grow.asDiagonal() * bread * grow.asDiagonal();
}

/// Levenberg and Marquardt's step. The friction's share stays between 0 and 1: at an end of that it is held
/// while the step would lead out.
Vector damped_step(const Eigen::MatrixXd& j, const Eigen::VectorXd& r, double damping, double share) {
    Matrix normal = j.transpose() * j;
    normal.diagonal() *= 1 + damping;
    Vector right = -j.transpose() * r;
    Vector step = normal.ldlt().solve(right);
    if ((share <= 0 && step[friction] < 0) || (share >= 1 && step[friction] > 0)) {
        normal.row(friction).setZero();
        normal.col(friction).setZero();
        normal(friction, friction) = 1;
        right[friction] = 0;
        step = normal.ldlt().solve(right);
    }
    for (const int k : {log_downstream, log_inductance, log_rate}) step[k] = std::clamp(step[k], -1.5, 1.5);
    step[friction] = std::clamp(step[friction], -0.3, 0.3);
    return step;
}

Vector first_guess(const StartData& d) {
    Vector x;
    const double source = !d.has_volts ? 1.0 : d.resting_volts ? *d.resting_volts : d.run_volts * 1.03;
    const double stall = 1.12 * d.peak_amps;
    const double up = d.has_volts ? std::max(0.0, (source - d.run_volts) / std::max(1e-9, d.run_amps)) : 0;
    const double total = source / stall;
    const double down = std::max(0.2 * total, total - up);
    x[emf] = source;
    x[upstream] = up;
    x[log_downstream] = std::log(down);
    x[log_inductance] = std::log(std::max(1e-9, 0.3 * d.rise_time * total));
    x[log_rate] = std::log((down + up) / std::max(1e-9, 1.5 * d.time_constant)); // the load hastens the fall
    x[run] = d.run_amps;
    x[friction] = 0.3;
    x[onset] = 0;
    return x;
}

} // namespace

std::optional<StartFit> fit_start(const StartData& d) {
    Misfit p{d, {}, {}, {}, {}};
    for (std::size_t b = 0; b < d.blocks.size(); ++b) {
        if (d.blocks[b].amps_sigma > 0) p.with_amps.push_back(b);
        if (d.has_volts && d.blocks[b].volts_sigma > 0) p.with_volts.push_back(b);
    }
    if (p.with_amps.size() < 2 * count) return std::nullopt;
    Vector x = first_guess(d);
    p.prior = x;
    p.prior_sigma.setConstant(1e6);
    p.prior_sigma[log_inductance] = 4;
    p.prior_sigma[log_downstream] = 5;
    p.prior_sigma[log_rate] = 5;
    p.prior_sigma[friction] = 0.5;
    p.prior_sigma[onset] = d.onset_sigma;
    if (!d.has_volts) p.prior_sigma[emf] = p.prior_sigma[upstream] = held;
    Vector scale;
    scale << std::abs(x[emf]), std::exp(x[log_downstream]), 1, 1, 1, d.peak_amps, 1, d.onset_sigma;

    StartFit fit;
    double damping = 1e-3;
    Eigen::VectorXd r = p.left_over(x);
    Eigen::MatrixXd j = p.slopes(x, scale);
    for (fit.rounds = 0; fit.rounds < most_rounds && !fit.converged; ++fit.rounds) {
        Vector tried = x + damped_step(j, r, damping, x[friction]);
        tried[friction] = std::clamp(tried[friction], 0.0, 1.0);
        const Eigen::VectorXd left = p.left_over(tried);
        if (left.allFinite() && left.squaredNorm() < r.squaredNorm()) {
            const double gain = r.squaredNorm() - left.squaredNorm();
            x = tried;
            fit.converged = gain < 3e-3 + 1e-6 * r.squaredNorm();
            r = left;
            damping = std::max(1e-9, 0.2 * damping);
            if (!fit.converged) j = p.slopes(x, scale);
        } else {
            damping *= 6;
            fit.converged = damping > 1e8;
        }
    }
    j = p.slopes(x, scale);
    const Matrix c = covariance(p, j, r);
    if (!c.allFinite()) return std::nullopt;

    const auto linear = [&](double value, const Vector& slope) {
        return Spread{value, std::sqrt(std::max(0.0, slope.dot(c * slope)))};
    };
    const auto unit = [](int k, double by = 1) {
        Vector v = Vector::Zero();
        v[k] = by;
        return v;
    };
    const CurveNumbers n = numbers(x);
    const double down = std::exp(x[log_downstream]);
    fit.emf = linear(x[emf], unit(emf));
    fit.upstream_ohms = linear(x[upstream], unit(upstream));
    fit.downstream_ohms = linear(down, unit(log_downstream, down));
    fit.log_inductance = linear(x[log_inductance], unit(log_inductance));
    fit.inductance = linear(n.inductance, unit(log_inductance, n.inductance));
    fit.rate = linear(n.rate, unit(log_rate, n.rate));
    fit.run_amps = linear(x[run], unit(run));
    fit.onset = linear(x[onset], unit(onset));
    const double stall = n.emf / n.ohms, mechanical = down / n.rate;
    fit.stall_amps = linear(stall, unit(emf, 1 / n.ohms) - unit(upstream, stall / n.ohms) -
                                       unit(log_downstream, stall / n.ohms * down));
    fit.mechanical_seconds =
        linear(mechanical, unit(log_downstream, mechanical) - unit(log_rate, mechanical));
    const FitBlock& last = d.blocks.back();
    const Peak peak = curve_peak(n, d.openings, last.first + last.step * last.samples);
    fit.peak_amps = peak.amps;
    fit.peak_seconds = peak.seconds;
    fit.sag_volts = linear(x[upstream] * peak.amps, unit(upstream, peak.amps));
    double squares = 0, weight = 0;
    for (std::size_t b = 0; b < p.with_amps.size(); ++b) {
        const FitBlock& block = d.blocks[p.with_amps[b]];
        const double left = r[static_cast<Eigen::Index>(b)] * block.amps_sigma;
        // Beyond what the block's own noise explains, weighted by how long the block is.
        squares += std::max(0.0, left * left - block.amps_sigma * block.amps_sigma) * block.samples;
        weight += block.samples;
    }
    fit.misfit_share = std::sqrt(squares / weight) / d.peak_amps;
    return fit;
}

std::optional<Approach> fit_approach(const std::vector<double>& t, const std::vector<double>& y) {
    if (t.size() < 6 || t.size() != y.size()) return std::nullopt;
    const auto n = static_cast<Eigen::Index>(t.size());
    Eigen::Vector3d x(y.front(), y.back(), std::log(std::max(1e-12, (t.back() - t.front()) / 5)));
    Eigen::VectorXd r(n);
    Eigen::MatrixXd j(n, 3);
    const auto evaluate = [&](const Eigen::Vector3d& v, Eigen::VectorXd& left, Eigen::MatrixXd* slopes) {
        const double tau = std::exp(v[2]);
        for (Eigen::Index k = 0; k < n; ++k) {
            const double age = (t[static_cast<std::size_t>(k)] - t[0]) / tau, f = std::exp(-age);
            left[k] = v[1] + (v[0] - v[1]) * f - y[static_cast<std::size_t>(k)];
            if (slopes) slopes->row(k) << f, 1 - f, (v[0] - v[1]) * f * age;
        }
    };
    evaluate(x, r, &j);
    double damping = 1e-3;
    for (int round = 0; round < 200 && damping < 1e10; ++round) {
        Eigen::Matrix3d normal = j.transpose() * j;
        normal.diagonal() *= 1 + damping;
        const Eigen::Vector3d tried = x - normal.ldlt().solve(j.transpose() * r);
        Eigen::VectorXd left(n);
        evaluate(tried, left, nullptr);
        const bool better = left.allFinite() && left.squaredNorm() < r.squaredNorm();
        const bool done = better && r.squaredNorm() - left.squaredNorm() < 1e-12 * r.squaredNorm();
        damping = better ? std::max(1e-12, 0.2 * damping) : 5 * damping;
        if (better) evaluate(x = tried, r, &j);
        if (done) break;
    }
    const double variance = r.squaredNorm() / static_cast<double>(n - 3);
    const Eigen::Matrix3d c = variance * (j.transpose() * j).inverse();
    if (!c.allFinite()) return std::nullopt;
    const double tau = std::exp(x[2]);
    return Approach{{x[0], std::sqrt(c(0, 0))},
                    {x[1], std::sqrt(c(1, 1))},
                    {tau, tau * std::sqrt(c(2, 2))},
                    std::sqrt(r.squaredNorm() / static_cast<double>(n))};
}

} // namespace lostvolts

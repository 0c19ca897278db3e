#include "solver/waveform/start_fit.h"

#include <algorithm>
#include <cmath>

#include "solver/units/patience.h"
#include "solver/waveform/start_misfit.h"

namespace lostvolts {
namespace {

using namespace start_misfit;

constexpr int most_rounds = 60;
constexpr double shares[] = {0.02, 0.06, 0.2, 0.5, 0.9}; // of the ripple's power by resistance
constexpr double usual_share = 0.06;
constexpr double farthest_onset = 20; // sigmas; one wild sample could have it hours before the capture
// The load's shares before anything is seen: pumps and fans go by the square, spreaders and winches don't
// (common practice, no source).
constexpr Spread usual_friction{0.3, 0.5}, usual_linear{0.3, 0.45};
constexpr double linear_of_bounces = 0.05; // sigma where the contact bounced: edges that are known to a
                                           // sample only must not pass for a load
// What the curvature leaves out of the resistance behind the probe and the stall current, whose curve bends:
// on 1800 simulated captures (rates of 5 and 20 kS/s, noise from none to 2 %, loads by the square and in
// proportion) nine intervals of ten held 82 to 87 % without it.
constexpr double beyond_curvature = 1.2;

/// Levenberg and Marquardt's step. The friction's share stays between 0 and 1: at an end of that it is held
/// while the step would lead out.
Vector damped_step(const Matrix& undamped, Vector right, double damping, double share) {
    Matrix normal = undamped;
    normal.diagonal() *= 1 + damping;
    Vector step = normal.ldlt().solve(right);
    if ((share <= 0 && step[friction] < 0) || (share >= 1 && step[friction] > 0)) {
        normal.row(friction).setZero();
        normal.col(friction).setZero();
        normal(friction, friction) = 1;
        right[friction] = 0;
        step = normal.ldlt().solve(right);
    }
    for (const int k : {log_downstream, log_inductance, log_rate}) step[k] = std::clamp(step[k], -1.5, 1.5);
    for (const int k : {friction, linear}) step[k] = std::clamp(step[k], -0.3, 0.3);
    return step;
}

/// JᵀJ; both triangles are filled.
Matrix squared(const Eigen::Ref<const Matrix>& j) {
    Matrix all = Matrix::Zero(j.cols(), j.cols());
    all.selfadjointView<Eigen::Lower>().rankUpdate(j.transpose());
    all.triangularView<Eigen::StrictlyUpper>() = all.transpose();
    return all;
}

struct Search {
    Vector x;
    int rounds = 0;
    bool converged = false;
};
void go_down(const Misfit& p, const Vector& scale, Search& at) {
    double damping = 1e-3;
    Vector r = p.left_over(at.x);
    Matrix j = p.slopes(at.x, r, scale), normal = squared(j);
    at.converged = false;
    for (int round = 0; round < most_rounds && !at.converged; ++round, ++at.rounds) {
        give_up_if_told();
        Vector tried = at.x + damped_step(normal, -j.transpose() * r, damping, at.x[friction]);
        tried[friction] = std::clamp(tried[friction], 0.0, 1.0);
        const double off = farthest_onset * p.prior_sigma[onset];
        tried[onset] = std::clamp(tried[onset], p.prior[onset] - off, p.prior[onset] + off);
        const Vector left = p.left_over(tried);
        if (left.allFinite() && left.squaredNorm() < r.squaredNorm()) {
            const double gain = r.squaredNorm() - left.squaredNorm();
            at.x = tried;
            at.converged = gain < 3e-3 + 1e-6 * r.squaredNorm();
            r = left;
            damping = std::max(1e-9, 0.2 * damping);
            if (!at.converged) j = p.slopes(at.x, r, scale), normal = squared(j);
        } else {
            damping *= 6;
            at.converged = damping > 1e8;
        }
    }
}

/// The unknowns with their covariance.
struct Settled {
    Vector x;
    Matrix covariance;
    double likeliest = usual_share; ///< of the ripple by resistance
};

/// Averaged over how the ripple is shared: each share's answer is one step from `at`, weighted by
///   log evidence = −½·(least misfit) − ½·log det N − Σ log σ,   N = JᵀJ with the priors
std::optional<Settled> settle(Misfit& p, const Vector& scale, const Vector& at) {
    std::vector<Settled> answers;
    std::vector<double> evidence;
    const Vector r = p.left_over(at);
    const Matrix j = p.slopes(at, r, scale);
    const Eigen::Index seen = p.seen_rows();
    const Matrix seen_normal = squared(j.topRows(seen));
    const Vector seen_right = j.topRows(seen).transpose() * r.head(seen);
    const bool one = p.bars().nodes() == 0;
    for (const double share : shares) {
        if (one && share != usual_share) continue;
        p.share_ripple(share, at);
        const Vector pull = (at - p.prior).cwiseQuotient(p.prior_sigma);
        Matrix normal = seen_normal;
        normal.diagonal() += p.prior_sigma.cwiseInverse().cwiseAbs2();
        const Vector right = seen_right + pull.cwiseQuotient(p.prior_sigma);
        const Eigen::LDLT<Matrix> factor(normal);
        if (factor.info() != Eigen::Success) return std::nullopt;
        const Vector step = -factor.solve(right);
        const double least = r.head(seen).squaredNorm() + pull.squaredNorm() + right.dot(step);
        const double log_det = factor.vectorD().cwiseAbs().array().log().sum();
        evidence.push_back(-0.5 * least - 0.5 * log_det - p.prior_sigma.array().log().sum());
        const Matrix covariance = factor.solve(Matrix::Identity(normal.rows(), normal.cols()));
        if (!covariance.allFinite() || !step.allFinite()) return std::nullopt;
        answers.push_back({at + step, covariance, share});
    }
    const double best = *std::max_element(evidence.begin(), evidence.end());
    Settled all{Vector::Zero(p.unknowns()), Matrix::Zero(p.unknowns(), p.unknowns())};
    if (!one) all.likeliest = shares[std::max_element(evidence.begin(), evidence.end()) - evidence.begin()];
    double sum = 0;
    for (std::size_t k = 0; k < answers.size(); ++k) {
        evidence[k] = std::exp(evidence[k] - best);
        sum += evidence[k];
        all.x += evidence[k] * answers[k].x;
    }
    all.x /= sum;
    for (std::size_t k = 0; k < answers.size(); ++k) {
        const Vector off = answers[k].x - all.x;
        all.covariance += evidence[k] / sum * (answers[k].covariance + off * off.transpose());
    }
    all.x[friction] = std::clamp(all.x[friction], 0.0, 1.0);
    return all;
}

/// What is left over beyond its sigma widens the channel's sigma.
double excess(const Vector& left) {
    const double free = std::max(1.0, static_cast<double>(left.size() - count));
    return std::sqrt(std::max(1.0, left.squaredNorm() / free));
}

Vector first_guess(const StartData& d) {
    Vector x(static_cast<Eigen::Index>(count));
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
    x[friction] = usual_friction.value;
    x[linear] = usual_linear.value;
    x[onset] = 0;
    return x;
}

/// The highest current, its slopes, and when. The bars that pass then have their say.
struct PeakSeen {
    Peak peak;
    Vector slopes;
};
PeakSeen peak_of(const StartData& d, const Misfit& p, const Vector& scale, const Vector& x) {
    const FitBlock& last = d.blocks.back();
    const double until = last.first + last.step * last.samples;
    PeakSeen seen{curve_peak(numbers(x), d.openings, until), Vector::Zero(x.size())};
    for (int k = 0; k < count; ++k) {
        if (k == onset) continue; // next to nothing
        Vector y = x;
        y[k] += 1e-3 * scale[k];
        seen.slopes[k] =
            (curve_peak(numbers(y), d.openings, until).amps - seen.peak.amps) / (1e-3 * scale[k]);
    }
    if (p.bars().nodes() == 0) return seen;
    const auto after = std::find_if(d.blocks.begin(), d.blocks.end(), [&](const FitBlock& b) {
        return b.first + b.step * b.samples > seen.peak.seconds;
    });
    const auto row = static_cast<Eigen::Index>(
        std::min<std::ptrdiff_t>(after - d.blocks.begin(), static_cast<std::ptrdiff_t>(d.blocks.size()) - 1));
    const Vector off = p.taken_off(x).row(row).transpose();
    seen.peak.amps -= off.dot(x.tail(off.size()));
    seen.slopes.tail(off.size()) = -off;
    return seen;
}

StartFit report(const StartData& d, const Misfit& p, const Vector& scale, const Settled& s) {
    const Vector& x = s.x;
    const auto linear = [&](double value, const Vector& slope) {
        return Spread{value, std::sqrt(std::max(0.0, slope.dot(s.covariance * slope)))};
    };
    const auto unit = [&](int k, double by = 1) {
        Vector v = Vector::Zero(x.size());
        v[k] = by;
        return v;
    };
    StartFit fit;
    const CurveNumbers n = numbers(x);
    const double down = std::exp(x[log_downstream]);
    fit.emf = linear(x[emf], unit(emf));
    fit.upstream_ohms = linear(x[upstream], unit(upstream));
    fit.downstream_ohms = linear(down, unit(log_downstream, down));
    fit.downstream_ohms.sigma *= beyond_curvature;
    fit.log_inductance = linear(x[log_inductance], unit(log_inductance));
    fit.inductance = linear(n.inductance, unit(log_inductance, n.inductance));
    fit.rate = linear(n.rate, unit(log_rate, n.rate));
    fit.run_amps = linear(x[run], unit(run));
    fit.onset = linear(x[onset], unit(onset));
    const double stall = n.emf / n.ohms, mechanical = down / n.rate;
    fit.stall_amps = linear(stall, unit(emf, 1 / n.ohms) - unit(upstream, stall / n.ohms) -
                                       unit(log_downstream, stall / n.ohms * down));
    fit.stall_amps.sigma *= beyond_curvature;
    fit.mechanical_seconds =
        linear(mechanical, unit(log_downstream, mechanical) - unit(log_rate, mechanical));
    const PeakSeen seen = peak_of(d, p, scale, x);
    fit.peak_amps = linear(seen.peak.amps, seen.slopes);
    fit.peak_seconds = seen.peak.seconds;
    fit.sag_volts =
        linear(x[upstream] * seen.peak.amps, x[upstream] * seen.slopes + unit(upstream, seen.peak.amps));
    return fit;
}

} // namespace

std::optional<StartFit> fit_start(const StartData& d) {
    Misfit p(d);
    if (p.blocks_with_amps() < 2 * static_cast<std::size_t>(count)) return std::nullopt;
    Search at{first_guess(d)};
    p.prior = at.x;
    p.prior_sigma = Vector::Constant(count, 1e6);
    p.prior_sigma[log_inductance] = 4;
    p.prior_sigma[log_downstream] = 5;
    p.prior_sigma[log_rate] = 5;
    p.prior_sigma[friction] = usual_friction.sigma;
    p.prior_sigma[linear] = d.openings.empty() ? usual_linear.sigma : linear_of_bounces;
    p.prior_sigma[onset] = d.onset_sigma;
    if (!d.has_volts) p.prior_sigma[emf] = p.prior_sigma[upstream] = held;
    Vector scale(static_cast<Eigen::Index>(count));
    scale << std::abs(at.x[emf]), std::exp(at.x[log_downstream]), 1, 1, 1, d.peak_amps, 1, 1, d.onset_sigma;

    p.prepare(at.x, {});
    go_down(p, scale, at);
    if (d.ripple) { // again, bar by bar
        const BarFields bars(*d.ripple, block_motion(numbers(at.x), d));
        const Eigen::Index all = count + 2 * bars.nodes();
        at.x.conservativeResizeLike(Vector::Zero(all));
        p.prior.conservativeResizeLike(Vector::Zero(all));
        p.prior_sigma.conservativeResizeLike(Vector::Constant(all, 1));
        p.prepare(at.x, bars);
        p.share_ripple(usual_share, at.x);
        go_down(p, scale, at);
        p.prepare(at.x, bars);
        if (const auto first = settle(p, scale, at.x)) p.share_ripple(first->likeliest, at.x);
        go_down(p, scale, at);
        p.prepare(at.x, bars);
        go_down(p, scale, at);
    } else {
        p.prepare(at.x, {});
        go_down(p, scale, at);
    }
    const Vector left = p.left_over(at.x);
    double squares = 0, weight = 0;
    for (Eigen::Index k = 0; k < p.amps_rows(); ++k) {
        // Beyond what the block's own spread explains, weighted by how long the block is.
        const FitBlock& block = p.block_of(k);
        const double sigma = std::hypot(block.amps_sigma, block.ripple_amps, block.model_amps);
        squares += std::max(0.0, left[k] * left[k] - 1) * sigma * sigma * block.samples;
        weight += block.samples;
    }
    p.amps_scale = excess(left.head(p.amps_rows()));
    p.volts_scale = excess(left.segment(p.amps_rows(), p.volts_rows()));
    const auto settled = settle(p, scale, at.x);
    if (!settled) return std::nullopt;
    StartFit fit = report(d, p, scale, *settled);
    fit.misfit_share = std::sqrt(squares / weight) / d.peak_amps;
    fit.rounds = at.rounds;
    fit.converged = at.converged;
    return fit;
}

} // namespace lostvolts

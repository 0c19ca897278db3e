#include "solver/waveform/start_fit.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>

#include "solver/waveform/bar_fields.h"
#include "solver/waveform/start_curve.h"

namespace lostvolts {
namespace {

// The unknowns, in this order; logarithms keep what must be positive positive. Behind them the nodes of the
// bars' resistance, then those of their constant.
enum Unknowns { emf, upstream, log_downstream, log_inductance, log_rate, run, friction, onset, count };
using Vector = Eigen::VectorXd;
using Matrix = Eigen::MatrixXd;

constexpr double held = 1e-12; // sigma of a prior that pins an unknown
constexpr int most_rounds = 60;
constexpr double shares[] = {0.02, 0.06, 0.2, 0.5, 0.9}; // of the ripple's power by resistance
constexpr double usual_share = 0.06;
constexpr double between_nodes = 0.2; // of the ripple that straight lines between the nodes leave
constexpr double sum_of_turn = 0.002; // sigma of a closed field's sum: its mean belongs to the curve

CurveNumbers numbers(const Vector& x) {
    return {.emf = x[emf],
            .ohms = std::max(1e-9, x[upstream] + std::exp(x[log_downstream])),
            .inductance = std::exp(x[log_inductance]),
            .rate = std::exp(x[log_rate]),
            .run_amps = x[run],
            .friction_share = std::clamp(x[friction], 0.0, 1.0),
            .onset = x[onset]};
}

/// One row for each thing seen, each in units of its sigma: amperes, volts, the resting level, then the
/// priors.
class Misfit {
  public:
    explicit Misfit(const StartData& d) : data_(d) {
        for (std::size_t b = 0; b < d.blocks.size(); ++b) {
            if (d.blocks[b].has_amps()) with_amps_.push_back(b);
            if (d.has_volts && d.blocks[b].has_volts()) with_volts_.push_back(b);
        }
    }

    Vector prior, prior_sigma; ///< per unknown
    double amps_scale = 1, volts_scale = 1;

    std::size_t blocks_with_amps() const { return with_amps_.size(); }
    Eigen::Index amps_rows() const { return static_cast<Eigen::Index>(with_amps_.size()); }
    Eigen::Index volts_rows() const { return static_cast<Eigen::Index>(with_volts_.size()); }
    Eigen::Index seen_rows() const {
        return amps_rows() + volts_rows() + (data_.resting_volts ? 1 : 0) + (bars_.closed() ? 2 : 0);
    }
    Eigen::Index unknowns() const { return prior.size(); }
    Eigen::Index rows() const { return seen_rows() + unknowns(); }
    const BarFields& bars() const { return bars_; }
    /// The amperes that a node's unit takes off, a row per block.
    Matrix taken_off(const Vector& x) const {
        const CurveNumbers n = numbers(x);
        return bars_.taken_off(n, data_.blocks, block_motion(n, data_));
    }
    const FitBlock& block_of(Eigen::Index amps_row) const {
        return data_.blocks[with_amps_[static_cast<std::size_t>(amps_row)]];
    }

    /// Follows these bars, and settles where they pass, what strays and how volts go with amperes, all at the
    /// unknowns `x`.
    void prepare(const Vector& x, BarFields bars) {
        bars_ = std::move(bars);
        const std::vector<BlockMotion> motion = block_motion(numbers(x), data_);
        lines_.assign(data_.blocks.size(), {});
        for (std::size_t b = 0; b < data_.blocks.size(); ++b) {
            const FitBlock& block = data_.blocks[b];
            Line& line = lines_[b];
            line.followed = bars_.follows(motion[b]);
            const double stray =
                std::hypot(block.model_amps, (line.followed ? between_nodes : 1) * block.ripple_amps);
            const double noise = std::max(0.0, block.amps_sigma);
            line.amps_sigma = std::hypot(stray, noise);
            const double share = line.amps_sigma > 0 ? stray / line.amps_sigma : 0;
            line.stray_share = block.has_amps() ? share * share : 0;
            const double unseen = block.has_amps() ? share * noise : stray;
            line.volts_sigma = std::hypot(block.volts_sigma, x[upstream] * unseen);
        }
    }

    Vector left_over(const Vector& x) const {
        Vector r(rows());
        const std::vector<double> i = currents(x);
        Eigen::Index row = 0;
        for (const std::size_t b : with_amps_)
            r[row++] = (data_.blocks[b].amps - i[b]) / (lines_[b].amps_sigma * amps_scale);
        for (const std::size_t b : with_volts_) {
            const FitBlock& block = data_.blocks[b];
            const double strays = lines_[b].stray_share * (block.amps - i[b]);
            r[row++] = (block.volts - (x[emf] - x[upstream] * (i[b] + strays))) /
                       (lines_[b].volts_sigma * volts_scale);
        }
        if (data_.resting_volts) r[row++] = (*data_.resting_volts - x[emf]) / data_.resting_sigma;
        if (bars_.closed())
            for (const int field : {0, 1})
                r[row++] = x.segment(count + field * bars_.nodes(), bars_.nodes()).sum() / sum_of_turn;
        r.tail(unknowns()) = (x - prior).cwiseQuotient(prior_sigma);
        return r;
    }

    Matrix slopes(const Vector& x, const Vector& scale) const {
        Matrix j = Matrix::Zero(rows(), unknowns());
        for (int k = 0; k < count; ++k) {
            if (prior_sigma[k] <= 1e-11) continue;
            Vector a = x, b = x;
            a[k] += 1e-4 * scale[k];
            b[k] -= 1e-4 * scale[k];
            if (k == friction) { // one-sided at an end of its range
                a[k] = std::min(a[k], 1.0);
                b[k] = std::max(b[k], 0.0);
            }
            j.col(k) = (left_over(a) - left_over(b)) / (a[k] - b[k]);
        }
        node_slopes(x, j);
        j.bottomRows(unknowns()) = prior_sigma.cwiseInverse().asDiagonal();
        return j;
    }

    /// Priors of the nodes when resistance drives that share of the ripple's power and the constant the rest.
    void share_ripple(double share, const Vector& x) {
        const CurveNumbers n = numbers(x);
        const Eigen::Index nodes = bars_.nodes();
        if (nodes == 0) return;
        const double volts = data_.ripple->amps *
                             std::hypot(n.ohms, 2 * std::numbers::pi * data_.ripple->hertz * n.inductance);
        const double by_resistance = std::sqrt(share) * volts / (n.ohms * n.run_amps);
        const double by_constant =
            std::sqrt(1 - share) * volts / std::max(1e-3 * n.emf, n.emf - n.ohms * n.run_amps);
        prior_sigma.segment(count, nodes).setConstant(std::max(1e-6, by_resistance));
        prior_sigma.segment(count + nodes, nodes).setConstant(std::max(1e-6, by_constant));
    }

  private:
    struct Line {
        bool followed = false;
        double amps_sigma = 1, volts_sigma = 1;
        double stray_share = 0; ///< of what the amperes are off the curve
    };

    std::vector<double> currents(const Vector& x) const {
        const CurveNumbers n = numbers(x);
        const std::vector<BlockMotion> motion = block_motion(n, data_);
        std::vector<double> all(motion.size());
        for (std::size_t b = 0; b < motion.size(); ++b) all[b] = motion[b].amps;
        if (bars_.nodes() == 0) return all;
        const Vector off = bars_.taken_off(n, data_.blocks, motion) * x.tail(2 * bars_.nodes());
        for (std::size_t b = 0; b < motion.size(); ++b) all[b] -= off[static_cast<Eigen::Index>(b)];
        return all;
    }
    void node_slopes(const Vector& x, Matrix& j) const {
        const Eigen::Index both = 2 * bars_.nodes();
        if (both == 0) return;
        const Matrix off = taken_off(x);
        Eigen::Index row = 0;
        for (const std::size_t b : with_amps_)
            j.row(row++).tail(both) =
                off.row(static_cast<Eigen::Index>(b)) / (lines_[b].amps_sigma * amps_scale);
        for (const std::size_t b : with_volts_)
            j.row(row++).tail(both) = -x[upstream] * (1 - lines_[b].stray_share) /
                                      (lines_[b].volts_sigma * volts_scale) *
                                      off.row(static_cast<Eigen::Index>(b));
        if (bars_.closed())
            for (const int field : {0, 1})
                j.row(seen_rows() - 2 + field)
                    .segment(count + field * bars_.nodes(), bars_.nodes())
                    .setConstant(1 / sum_of_turn);
    }

    const StartData& data_;
    BarFields bars_;
    std::vector<std::size_t> with_amps_, with_volts_;
    std::vector<Line> lines_;
};

/// Levenberg and Marquardt's step. The friction's share stays between 0 and 1: at an end of that it is held
/// while the step would lead out.
Vector damped_step(const Matrix& j, const Vector& r, double damping, double share) {
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

struct Search {
    Vector x;
    int rounds = 0;
    bool converged = false;
};
void go_down(const Misfit& p, const Vector& scale, Search& at) {
    double damping = 1e-3;
    Vector r = p.left_over(at.x);
    Matrix j = p.slopes(at.x, scale);
    at.converged = false;
    for (int round = 0; round < most_rounds && !at.converged; ++round, ++at.rounds) {
        Vector tried = at.x + damped_step(j, r, damping, at.x[friction]);
        tried[friction] = std::clamp(tried[friction], 0.0, 1.0);
        const Vector left = p.left_over(tried);
        if (left.allFinite() && left.squaredNorm() < r.squaredNorm()) {
            const double gain = r.squaredNorm() - left.squaredNorm();
            at.x = tried;
            at.converged = gain < 3e-3 + 1e-6 * r.squaredNorm();
            r = left;
            damping = std::max(1e-9, 0.2 * damping);
            if (!at.converged) j = p.slopes(at.x, scale);
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
    const Matrix j = p.slopes(at, scale);
    const Eigen::Index seen = p.seen_rows();
    const Matrix seen_normal = j.topRows(seen).transpose() * j.topRows(seen);
    const Vector r = p.left_over(at);
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
    x[friction] = 0.3;
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
        if (k == friction || k == onset) continue; // next to nothing
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
    if (p.blocks_with_amps() < 2 * count) return std::nullopt;
    Search at{first_guess(d)};
    p.prior = at.x;
    p.prior_sigma = Vector::Constant(count, 1e6);
    p.prior_sigma[log_inductance] = 4;
    p.prior_sigma[log_downstream] = 5;
    p.prior_sigma[log_rate] = 5;
    p.prior_sigma[friction] = 0.5;
    p.prior_sigma[onset] = d.onset_sigma;
    if (!d.has_volts) p.prior_sigma[emf] = p.prior_sigma[upstream] = held;
    Vector scale(static_cast<Eigen::Index>(count));
    scale << std::abs(at.x[emf]), std::exp(at.x[log_downstream]), 1, 1, 1, d.peak_amps, 1, d.onset_sigma;

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

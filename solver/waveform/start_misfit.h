// What a fitted start is judged by: its unknowns, and how far each thing seen is from what they make of it.
// Inner header of start_fit.
#pragma once

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>

#include "solver/waveform/bar_fields.h"
#include "solver/waveform/start_curve.h"

namespace lostvolts::start_misfit {

// The unknowns, in this order; logarithms keep what must be positive positive. Behind them the nodes of the
// bars' resistance, then those of their constant.
enum Unknowns {
    emf,
    upstream,
    log_downstream,
    log_inductance,
    log_rate,
    run,
    friction,
    linear,
    onset,
    count
};
using Vector = Eigen::VectorXd;
using Matrix = Eigen::MatrixXd;

inline constexpr double held = 1e-12;        // sigma of a prior that pins an unknown
inline constexpr double between_nodes = 0.2; // of the ripple that straight lines between the nodes leave
inline constexpr double sum_of_turn = 0.002; // sigma of a closed field's sum: its mean belongs to the curve

inline CurveNumbers numbers(const Vector& x) {
    return {.emf = x[emf],
            .ohms = std::max(1e-9, x[upstream] + std::exp(x[log_downstream])),
            .inductance = std::exp(x[log_inductance]),
            .rate = std::exp(x[log_rate]),
            .run_amps = x[run],
            .onset = x[onset],
            .friction_share = std::clamp(x[friction], 0.0, 1.0),
            .linear_share = x[linear]};
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
        bars_ = bars;
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

    /// `r` is left_over(x).
    Matrix slopes(const Vector& x, const Vector& r, const Vector& scale) const {
        Matrix j = Matrix::Zero(rows(), unknowns());
        for (int k = 0; k < count; ++k) {
            if (prior_sigma[k] <= 1e-11) continue;
            Vector a = x;
            a[k] += (k == friction && x[k] > 0.5 ? -1e-4 : 1e-4) * scale[k]; // within its range
            j.col(k) = (left_over(a) - r) / (a[k] - x[k]);
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
        const std::vector<double> off = bars_.taken_off(n, data_.blocks, motion, x.tail(2 * bars_.nodes()));
        for (std::size_t b = 0; b < motion.size(); ++b) all[b] -= off[b];
        return all;
    }
    void node_slopes(const Vector& x, Matrix& j) const {
        const Eigen::Index both = 2 * Eigen::Index{bars_.nodes()};
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

} // namespace lostvolts::start_misfit

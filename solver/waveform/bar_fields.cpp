#include "solver/waveform/bar_fields.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace lostvolts {
namespace {

constexpr int per_ripple = 4;  // nodes
constexpr int most_nodes = 80; // of an open field: as many as 20 ripples

double farthest(const BlockMotion& m) { return std::max(m.begins, m.ends); }

} // namespace

BarFields::BarFields(const BarRipple& ripple, const std::vector<BlockMotion>& motion)
    : hertz_(ripple.hertz), closed_(ripple.per_turn > 0) {
    if (closed_) {
        nodes_ = per_ripple * ripple.per_turn;
        return;
    }
    double last = 0;
    for (const BlockMotion& m : motion)
        if (ripples_in(m) < 1) last = std::max(last, farthest(m));
    nodes_ = static_cast<int>(std::min<double>(most_nodes, std::ceil(per_ripple * hertz_ * last) + 2));
}

bool BarFields::follows(const BlockMotion& m) const {
    return nodes_ > 0 && ripples_in(m) < 1 && (closed_ || per_ripple * hertz_ * farthest(m) < nodes_ - 1);
}

BarFields::NodeShares BarFields::weights(const BlockMotion& m, double behind) const {
    NodeShares all;
    for (std::size_t k = 0; k < looks; ++k) {
        const double angle = m.begins + (static_cast<double>(k) + 0.5) / looks * (m.ends - m.begins) - behind;
        const double along = std::max(0.0, per_ripple * hertz_ * angle);
        const double place = closed_ ? std::fmod(along, nodes_) : std::min<double>(along, nodes_ - 1);
        const int node = std::min(static_cast<int>(place), closed_ ? nodes_ - 1 : nodes_ - 2);
        const double share = place - node;
        all[2 * k] = {node, (1 - share) / looks};
        all[2 * k + 1] = {closed_ ? (node + 1) % nodes_ : node + 1, share / looks};
    }
    return all;
}

/// `row(b)` is told where block b's amperes go, `slowed` is δe in volts; both of what a unit of a node does,
/// or of what all nodes do together.
template <class Row, class Slowed>
void BarFields::go_along(const CurveNumbers& n, const std::vector<FitBlock>& blocks,
                         const std::vector<BlockMotion>& motion, const Row& row, Slowed& slowed) const {
    double length = -1, stays = 1;
    for (std::size_t b = 0; b < motion.size(); ++b) {
        const BlockMotion& m = motion[b];
        if (const double now = blocks[b].step * blocks[b].samples; now != length) {
            length = now;
            stays = std::exp(-0.5 * length * n.rate / n.ohms); // over half the block
        }
        slowed.fade(stays);
        if (follows(m)) {
            const double lag = 2 * std::numbers::pi * hertz_ * m.pace * n.inductance / n.ohms;
            const double behind = std::atan(lag) / (2 * std::numbers::pi * hertz_); // of the angle
            const double push = n.ohms * (1 - stays); // ∫ a·exp(−t·a/R) over half the block
            const double weaker = 1 / std::hypot(1, lag), counter = m.back_emf / n.ohms;
            for (const auto& [node, weight] : weights(m, behind))
                row.at_once(b, node, weight * m.amps * weaker, weight * counter * weaker);
            const NodeShares here = weights(m, 0);
            const auto drive = [&] {
                for (const auto& [node, weight] : here)
                    slowed.drive(node, -push * weight * m.amps, push * weight * (m.amps - counter));
            };
            drive();
            row.by_speed(b, slowed, 1 / n.ohms);
            slowed.fade(stays);
            drive();
        } else {
            row.by_speed(b, slowed, 1 / n.ohms);
            slowed.fade(stays);
        }
    }
}

namespace {

/// A column per block, so that what belongs together lies together.
struct SlowedNodes {
    Eigen::VectorXd volts;
    int nodes;
    void fade(double stays) { volts *= stays; }
    void drive(int node, double resistance, double constant) {
        volts[node] += resistance;
        volts[nodes + node] += constant;
    }
};
struct NodeRows {
    Eigen::MatrixXd& amps;
    int nodes;
    void at_once(std::size_t b, int node, double resistance, double constant) const {
        amps(node, static_cast<Eigen::Index>(b)) += resistance;
        amps(nodes + node, static_cast<Eigen::Index>(b)) += constant;
    }
    void by_speed(std::size_t b, const SlowedNodes& slowed, double per_volt) const {
        amps.col(static_cast<Eigen::Index>(b)) += per_volt * slowed.volts;
    }
};

struct SlowedAll {
    const Eigen::VectorXd& at;
    int nodes;
    double volts = 0;
    void fade(double stays) { volts *= stays; }
    void drive(int node, double resistance, double constant) {
        volts += resistance * at[node] + constant * at[nodes + node];
    }
};
struct SumRows {
    std::vector<double>& amps;
    const Eigen::VectorXd& at;
    int nodes;
    void at_once(std::size_t b, int node, double resistance, double constant) const {
        amps[b] += resistance * at[node] + constant * at[nodes + node];
    }
    void by_speed(std::size_t b, const SlowedAll& slowed, double per_volt) const {
        amps[b] += per_volt * slowed.volts;
    }
};

} // namespace

Eigen::MatrixXd BarFields::taken_off(const CurveNumbers& n, const std::vector<FitBlock>& blocks,
                                     const std::vector<BlockMotion>& motion) const {
    const auto rows = 2 * Eigen::Index{nodes_};
    Eigen::MatrixXd amps = Eigen::MatrixXd::Zero(rows, static_cast<Eigen::Index>(motion.size()));
    SlowedNodes slowed{Eigen::VectorXd::Zero(rows), nodes_};
    go_along(n, blocks, motion, NodeRows{amps, nodes_}, slowed);
    return amps.transpose();
}

std::vector<double> BarFields::taken_off(const CurveNumbers& n, const std::vector<FitBlock>& blocks,
                                         const std::vector<BlockMotion>& motion,
                                         const Eigen::VectorXd& nodes) const {
    std::vector<double> amps(motion.size(), 0.0);
    SlowedAll slowed{nodes, nodes_};
    go_along(n, blocks, motion, SumRows{amps, nodes, nodes_}, slowed);
    return amps;
}

} // namespace lostvolts

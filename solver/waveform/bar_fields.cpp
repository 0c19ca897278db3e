#include "solver/waveform/bar_fields.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace lostvolts {
namespace {

constexpr int per_ripple = 4;  // nodes
constexpr int most_nodes = 80; // of an open field: as many as 20 ripples
constexpr int points = 4;      // in a block, where its angle is looked at

} // namespace

BarFields::BarFields(const BarRipple& ripple, const std::vector<BlockMotion>& motion)
    : hertz_(ripple.hertz), closed_(ripple.per_turn > 0) {
    if (closed_) {
        nodes_ = per_ripple * ripple.per_turn;
        return;
    }
    double last = 0;
    for (const BlockMotion& m : motion)
        if (ripples_in(m) < 1) last = std::max(last, m.ends);
    nodes_ = std::min(most_nodes, static_cast<int>(std::ceil(per_ripple * hertz_ * last)) + 2);
}

bool BarFields::follows(const BlockMotion& m) const {
    return nodes_ > 0 && ripples_in(m) < 1 && (closed_ || per_ripple * hertz_ * m.ends < nodes_ - 1);
}

std::vector<std::pair<int, double>> BarFields::weights(const BlockMotion& m, double behind) const {
    std::vector<std::pair<int, double>> all;
    const auto add = [&](int node, double weight) {
        if (closed_) node %= nodes_;
        const auto it = std::find_if(all.begin(), all.end(), [&](const auto& w) { return w.first == node; });
        if (it == all.end())
            all.emplace_back(node, weight);
        else
            it->second += weight;
    };
    for (int k = 0; k < points; ++k) {
        const double angle = m.begins + (k + 0.5) / points * (m.ends - m.begins) - behind;
        const double place = std::max(0.0, per_ripple * hertz_ * angle);
        const double share = place - std::floor(place);
        const int node = static_cast<int>(place);
        add(node, (1 - share) / points);
        add(node + 1, share / points);
    }
    return all;
}

Eigen::MatrixXd BarFields::taken_off(const CurveNumbers& n, const std::vector<FitBlock>& blocks,
                                     const std::vector<BlockMotion>& motion) const {
    const auto rows = static_cast<Eigen::Index>(motion.size());
    Eigen::MatrixXd amps = Eigen::MatrixXd::Zero(rows, 2 * nodes_);
    Eigen::RowVectorXd slowed = Eigen::RowVectorXd::Zero(2 * nodes_); // δe, volts
    for (Eigen::Index b = 0; b < rows; ++b) {
        const BlockMotion& m = motion[static_cast<std::size_t>(b)];
        const FitBlock& block = blocks[static_cast<std::size_t>(b)];
        const double length = block.step * block.samples;
        const double stays = std::exp(-0.5 * length * n.rate / n.ohms); // over half the block
        const double lag = 2 * std::numbers::pi * hertz_ * m.pace * n.inductance / n.ohms;
        slowed *= stays;
        if (follows(m)) {
            const double behind = std::atan(lag) / (2 * std::numbers::pi * hertz_); // of the angle
            const double push = n.ohms * (1 - stays); // ∫ a·exp(−t·a/R) over half the block
            for (const auto& [node, weight] : weights(m, behind)) {
                amps(b, node) += weight * m.amps / std::hypot(1, lag);
                amps(b, nodes_ + node) += weight * m.back_emf / n.ohms / std::hypot(1, lag);
            }
            const auto here = weights(m, 0);
            const auto drive = [&] {
                for (const auto& [node, weight] : here) {
                    slowed[node] -= push * weight * m.amps;
                    slowed[nodes_ + node] += push * weight * (m.amps - m.back_emf / n.ohms);
                }
            };
            drive();
            amps.row(b) += slowed / n.ohms;
            slowed *= stays;
            drive();
        } else {
            amps.row(b) += slowed / n.ohms;
            slowed *= stays;
        }
    }
    return amps;
}

} // namespace lostvolts

// What the commutator's bars do to a start while they pass one by one: the resistance and the motor constant
// go their own way over the angle, told at nodes a quarter of a ripple apart and straight between them. The
// nodes are unknowns of the fit with a prior, so that the first bars' own resistance isn't taken for the
// motor's. Inner header.
#pragma once

#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include <Eigen/Core>

#include "solver/waveform/start_curve.h"

namespace lostvolts {

class BarFields {
  public:
    BarFields() = default; ///< none: no block is followed
    /// As many nodes as the blocks need that hold less than one ripple each.
    BarFields(const BarRipple& ripple, const std::vector<BlockMotion>& motion);

    int nodes() const { return nodes_; }    ///< of either field
    bool closed() const { return closed_; } ///< the last node is followed by the first: a known turn
    bool follows(const BlockMotion& m) const;
    /// The current that a node's unit takes off each block, in amperes: a row per block, the nodes of the
    /// resistance before those of the constant.
    ///   at once      i·z_R + e·z_k/R, later and weaker by the winding's inductance at the ripple's frequency
    ///   by the speed dδe/dt = a·(i·z_k − i·z_R − e·z_k/R) − δe·a/R,  which takes off δe/R
    Eigen::MatrixXd taken_off(const CurveNumbers& n, const std::vector<FitBlock>& blocks,
                              const std::vector<BlockMotion>& motion) const;
    /// The same, times what the nodes stand at: without the matrix.
    std::vector<double> taken_off(const CurveNumbers& n, const std::vector<FitBlock>& blocks,
                                  const std::vector<BlockMotion>& motion, const Eigen::VectorXd& nodes) const;
    /// Ripples that pass within the block, whichever way it turns: a fit may try a motor that runs backwards.
    double ripples_in(const BlockMotion& m) const { return hertz_ * std::abs(m.ends - m.begins); }

  private:
    /// A block's share of each node that it passes; a node may come more than once.
    static constexpr std::size_t looks = 4; ///< in a block, where its angle is looked at
    using NodeShares = std::array<std::pair<int, double>, 2 * looks>;
    NodeShares weights(const BlockMotion& m, double behind) const;
    template <class Row, class Slowed>
    void go_along(const CurveNumbers& n, const std::vector<FitBlock>& blocks,
                  const std::vector<BlockMotion>& motion, const Row& row, Slowed& slowed) const;

    double hertz_ = 0;
    int nodes_ = 0;
    bool closed_ = false;
};

} // namespace lostvolts

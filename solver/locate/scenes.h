// The world as one rival suspect has it: every reading that could be taken, in every state, with what is
// still uncertain.
#pragma once

#include <vector>

#include "solver/locate/evidence.h"

namespace lostvolts {

/// Where probes may go: chosen once per job, the same for every scene.
struct Reach {
    std::vector<PointId> points; ///< never more than most_points; the ground among them
    std::vector<PartId> clamps;  ///< parts a clamp may go round
};
inline constexpr std::size_t most_points = 40;
Reach reach_of(const Weighing& w, const std::vector<PartId>& suspected);

/// One state of one scene. Index k runs over the reach's points, then its clamps.
struct View {
    Eigen::VectorXd mean;       ///< volts against ground, then amperes
    Eigen::MatrixXd covariance; ///< of the healthy parts' numbers, the readings so far known
    std::vector<int> section;   ///< per point: floating section, or none
};

struct Scene {
    double weight = 0;        ///< share of its rival's posterior over size
    std::vector<View> states; ///< per state of the circuit; empty mean: no working point there
};

/// The scene with these faults; nothing when it contradicts the circuit (no working point in a measured
/// state).
std::optional<Scene> stage(Weighing& w, const Reach& reach, const std::vector<Fault>& faults);

} // namespace lostvolts

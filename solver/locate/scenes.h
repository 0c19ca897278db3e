// The world as one rival suspect has it: every reading that could be taken, in every state, with what is
// still uncertain.
#pragma once

#include <optional>
#include <random>
#include <vector>

#include "solver/locate/effort.h"
#include "solver/locate/evidence.h"
#include "solver/locate/toolbox.h"

namespace lostvolts {

/// Where instruments may go: chosen once per job, the same for every scene. A row is one of these: the points
/// against ground first, then the parts' own readings. What a lamp or an ohmmeter would say of two points is
/// no difference of such rows: it needs rows of its own, one for each pair worth asking.
struct Reach {
    struct OnPart {
        Measurand quantity = Measurand::current;
        PartId part = none;
    };
    std::vector<PointId> points;   ///< never more than most_points; the ground among them
    std::vector<OnPart> on_parts;  ///< currents and speeds that there is a meter for
    std::vector<int> row_of_point; ///< per point of the circuit; none where no lead goes

    int row_of(Measurand quantity, PartId part) const;
};
inline constexpr std::size_t most_points = 40;
Reach reach_of(const Weighing& w, const std::vector<PartId>& suspected, const Toolbox& tools);

/// One state of one scene, row by row.
struct View {
    Eigen::VectorXd mean;       ///< volts against ground, then amperes and rad/s
    Eigen::MatrixXd covariance; ///< of the healthy parts' numbers, the readings so far known
    Eigen::VectorXd stray;      ///< one draw of the departure from the mean that this covariance allows
    std::vector<int> section;   ///< per point: floating section, or none
};

struct Scene {
    double weight = 0;        ///< share of its rival's posterior over size
    std::vector<View> states; ///< per state of the circuit; empty mean: no working point there
};

/// The scene with these faults; nothing when it contradicts the circuit (no working point in a measured
/// state). The draw is one set of healthy parts' numbers, the same in every state.
std::optional<Scene> stage(Weighing& w, const Reach& reach, const std::vector<Fault>& faults,
                           std::mt19937_64& random);

/// What a scene says of a prospect, the meter itself left out; nothing where it can't be read.
struct Foreseen {
    double mean = 0, variance = 0, stray = 0;
};
std::optional<Foreseen> foresee(const Reach& reach, const Scene& scene, const Prospect& prospect);

} // namespace lostvolts

// The world as one rival suspect has it: every reading that could be taken, in every state, with what is
// still uncertain.
#pragma once

#include <map>
#include <optional>
#include <random>
#include <vector>

#include "solver/locate/effort.h"
#include "solver/locate/evidence.h"
#include "solver/locate/toolbox.h"

namespace lostvolts {

/// Where instruments may go: chosen once per job, the same for every scene. A row is one of these: the points
/// against ground first, then the parts' own readings. What is between two points follows from their two
/// rows: volts as a difference, and what a lamp makes of them from the ohms that stand behind them. An
/// ohmmeter's are a table of their own, of the dead circuit.
struct Reach {
    struct OnPart {
        Measurand quantity = Measurand::current;
        PartId part = none;
        Hookup instrument;
    };
    std::vector<PointId> points;    ///< never more than most_points; the ground among them
    std::vector<OnPart> on_parts;   ///< currents and speeds that there is a meter for, and sounds
    std::vector<int> row_of_point;  ///< per point of the circuit; none where no lead goes
    std::map<int, Hookup> lamps;    ///< by meter
    std::optional<Hookup> ohmmeter; ///< nothing: no state is dead
    std::vector<char> dead;         ///< per state: nothing is switched on in it

    int row_of(Measurand quantity, PartId part) const;
    int row_of(PointId point) const { return row_of_point[static_cast<std::size_t>(point)]; }
    bool is_dead(int state) const { return dead[static_cast<std::size_t>(state)] != 0; }
};
inline constexpr std::size_t most_points = 40;
Reach reach_of(const Weighing& w, const std::vector<PartId>& suspected, const Toolbox& tools);

/// One state of one scene, row by row.
struct View {
    Eigen::VectorXd mean;       ///< volts against ground, then amperes and rad/s
    Eigen::MatrixXd covariance; ///< of the healthy parts' numbers, the readings so far known
    Eigen::VectorXd stray;      ///< one draw of the departure from the mean that this covariance allows
    std::vector<int> section;   ///< per point: floating section, or none
    // Words are weighed one by one, as if no other reading had been taken (likelihood.h):
    Eigen::VectorXd nominal;     ///< the mean without what the readings so far have told
    Eigen::MatrixXd tolerance;   ///< … and the covariance
    Eigen::MatrixXd shared_ohms; ///< points × points (network/measure.h); empty when there is no lamp
};

struct Scene {
    double weight = 0;           ///< share of its rival's posterior over size
    std::vector<View> states;    ///< per state of the circuit; empty mean: no working point there
    std::vector<OhmsAmong> dead; ///< per state: of the reach's points; none where it is not dead
};

/// The scene with these faults; nothing when it contradicts the circuit (no working point in a measured
/// state). The draw is one set of healthy parts' numbers, the same in every state.
std::optional<Scene> stage(Weighing& w, const Reach& reach, const std::vector<Fault>& faults,
                           std::mt19937_64& random);

/// What a scene says of a prospect, the meter itself left out; nothing where it can't be read. Where only
/// words are said the mean is that of the number behind them.
struct Foreseen {
    double mean = 0, variance = 0, stray = 0;
    struct Word {
        Sense sense = Sense::lamp;
        double number = 0, variance = 0; ///< behind it
    };
    std::optional<Word> word{}; ///< it is told, or may be, in one
};
std::optional<Foreseen> foresee(const Reach& reach, const Scene& scene, const Prospect& prospect);

/// Volts between two points and the ohms behind them, as a lamp meets them; nothing where they can't be read.
struct Behind {
    double volts = 0, variance = 0, ohms = 0;
};
std::optional<Behind> behind(const Reach& reach, const Scene& scene, int state, PointId red, PointId black);

} // namespace lostvolts

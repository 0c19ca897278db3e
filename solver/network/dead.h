// What an ohmmeter reads between two points of a circuit that is dead: every source disconnected, no coil
// fed, no rotor turning.
//
// The meter sends a milliampere or less and reads the volts that it costs; nothing in a wiring circuit moves
// or switches for that, so one straight line stands for each part. With x the volts per ampere that the
// meter's current makes at each node, R = x(red) − x(black), and a number p of a part moves R by −x·(∂i/∂p),
// i the part's current at the meter's own.
#pragma once

#include <span>
#include <vector>

#include "solver/network/operate.h"

namespace lostvolts {

/// Where an ohmmeter's leads stand.
struct Leads {
    PointId red = none;
    PointId black = none;
};

/// The state with these faults, its sources out and its rotors held. What the state closes, removes or
/// bridges by hand stays so; a relay that its coil would hold lets go.
Setup set_up_dead(const Network& network, int state, const std::vector<Fault>& faults = {});
/// The same with a set-up that stands already.
void switch_off(Setup& setup);

/// Ohms between each pair of leads, without the meter's own; infinite where no path joins them. `slopes`, if
/// wanted: slopes[j·leads + r] = d(ohms r)/d(number j), 0 where there is no path. A Problem when the dead
/// circuit can't be solved.
Result<std::vector<double>> read_ohms(const Network& network, Setup& dead, Workspace& work,
                                      std::span<const Leads> leads, std::vector<double>* slopes = nullptr);

/// The ohms between every two of some points.
struct OhmsAmong {
    std::size_t points = 0;
    std::vector<double> ohms;     ///< at a·points + b; infinite where no path joins the two
    std::vector<double> variance; ///< as every number strays by its own deviation
    double between(std::size_t a, std::size_t b) const { return ohms[a * points + b]; }
    double variance_between(std::size_t a, std::size_t b) const { return variance[a * points + b]; }
};

/// The same as read_ohms, for all pairs at the cost of one pair a point. A jumper's number in two places
/// counts as two. `deviations` is per number of the network.
Result<OhmsAmong> read_ohms_among(const Network& network, Setup& dead, Workspace& work,
                                  std::span<const PointId> points, const std::vector<double>& deviations);

} // namespace lostvolts

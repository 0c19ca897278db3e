// What an instrument reads at a working point, and how that reading moves with every number of every part.
#pragma once

#include <span>
#include <vector>

#include "solver/network/operate.h"

namespace lostvolts {

enum class ProbeKind { voltage, current, speed, contact };

/// One instrument's connection. Voltage: red and black leads, the meter's input resistance lies across them;
/// with `filament_volts` it is a test lamp, whose resistance is input_ohms at those volts and less when dim.
/// Current: a clamp on a part, positive from → to. Speed: of a motor, positive the way positive current turns
/// it. Contact: of a relay, 1 when its coil has pulled it in, else 0; it has no slopes.
struct Probe {
    ProbeKind kind = ProbeKind::voltage;
    PointId red = none;
    PointId black = none;
    PartId through = none;
    double input_ohms = 10e6;
    double filament_volts = 0; ///< 0: a plain resistance
};

/// The readings (V, A, rad/s) of probes at a solved working point. A lead on a section of the circuit that
/// floats reads 0 V against everything outside that section: the meter itself is then the only path.
std::vector<double> read_probes(const Network& network, const Setup& setup, const Operating& at,
                                Workspace& work, std::span<const Probe> probes);

/// As above, with slopes[j·probes + r] = d(reading r)/d(number j). One adjoint solve per probe, all at once.
/// `shared_ohms`, if wanted, of probes that all read volts: shared_ohms[r·probes + s] is what an ampere
/// through r's leads makes of s's volts. Between red of r and red of s, with their blacks on one point, a
/// meter sees rr + ss − rs − sr.
std::vector<double> read_probes_with_slopes(const Network& network, const Setup& setup, const Operating& at,
                                            Workspace& work, std::span<const Probe> probes,
                                            std::vector<double>& slopes,
                                            std::vector<double>* shared_ohms = nullptr);

/// What is left of an unloaded reading when the instrument's input lies across `source_ohms`.
double share_left(const Probe& probe, double open_volts, double source_ohms);

/// What the instrument itself draws at these volts.
double amps_drawn(const Probe& probe, double volts);

/// Per point the floating section it lies in, or none when it has a path to ground.
std::vector<int> floating_points(const Network& network, const Operating& at, Workspace& work);

} // namespace lostvolts

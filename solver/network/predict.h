// What a circuit does in a state: volts at each point, amperes and drop of each part, speeds, against the
// limits.
#pragma once

#include <optional>
#include <vector>

#include "solver/network/operate.h"

namespace lostvolts {

struct PartResult {
    PartId part = none;
    bool in_circuit = true;                 ///< false: taken out in this state, or open by a fault
    Current<> current;                      ///< positive from `from` to `to`
    Voltage<> drop;                         ///< V(from) − V(to)
    Power<> power;                          ///< taken in; a source's is negative
    std::optional<Resistance<>> resistance; ///< drop over current, for parts that only conduct
    std::optional<Voltage<>> limit;         ///< none in a state with a rotor held: limits are for running
    bool over_limit = false;
};

struct MotorResult {
    PartId part = none;
    Speed<> speed;
    Torque<> torque; ///< that the magnets give, k·i
    Voltage<> back_emf;
    Current<> current;
};

/// A load and what reaches it. Lost volts are those between the outermost source posts less those across the
/// load.
struct LoadResult {
    PartId part = none;
    Voltage<> across;
    Voltage<> lost;
    Voltage<> limit; ///< of the whole loop
    bool over_limit =
        false; ///< never for a load that is off, nor in a state with a rotor held or a jumper in
};

struct StatePrediction {
    int state = 0;
    std::vector<std::optional<Voltage<>>> points; ///< per point of the circuit; nothing: it floats
    std::vector<PartResult> parts;                ///< per part of the circuit
    std::vector<MotorResult> motors;
    std::vector<LoadResult> loads; ///< those that carry current
    std::vector<PartId> off;       ///< loads that get next to nothing here even without a fault: switched off
    std::vector<PartId> relays_closed;
    std::vector<PartId> overloaded_fuses; ///< fuses and breakers that carry more than their rating
    Current<> leftover;                   ///< of Kirchhoff's current law, worst point
    int iterations = 0;
};

/// One state with faults in it.
Result<StatePrediction> predict_state(const Network& network, int state, const std::vector<Fault>& faults,
                                      Workspace& work);
/// Every state of the circuit.
Result<std::vector<StatePrediction>> predict(const Network& network, const std::vector<Fault>& faults = {});

} // namespace lostvolts

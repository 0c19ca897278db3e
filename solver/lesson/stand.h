// The test stand of a lesson: one load of a circuit, looked at while it runs, with its rotor held, and with
// nothing switched on. Everything that is compared, swept or explained is read on one such stand.
#pragma once

#include <memory>
#include <vector>

#include "solver/network/predict.h"

namespace lostvolts {

struct StandWish {
    PartId load = none; ///< none: the one that the circuit's conditions are about
    int state = none;   ///< in which it runs; none: the first in which it does
};

struct Stand {
    /// The drawing, with states added at its end where it has none such: rotor held, nothing switched on.
    std::shared_ptr<const Circuit> circuit;
    Network network;
    int drawn_states = 0; ///< how many of the states are the drawing's own
    PartId load = none;
    int run = none;
    int stall = none; ///< none: the load is no motor
    int rest = none;  ///< every switch open and the load taken out

    /// The way of the healthy circuit's current: from the source's post `high` to the load, and from the load
    /// to the post `low`, each in the order of the current. The drops along it and the load's add up to the
    /// volts between the posts, whatever the fault.
    std::vector<PartId> out, back;
    PointId high = none, low = none;

    const Part& part(PartId p) const { return circuit->parts[static_cast<std::size_t>(p)]; }
    bool turns() const { return stall != none; } ///< the load is a motor
};

/// Errors: no state in which a load runs, the wished one does not run in the wished state, or the healthy
/// circuit has no working point.
Result<Stand> put_on_stand(const Circuit& circuit, const StandWish& wish = {});

/// Volts of a point against ground; 0 where it floats.
Voltage<> volts_at(const StatePrediction& state, PointId point);
/// V(high) − V(low) of the stand's posts.
Voltage<> between_posts(const Stand& stand, const StatePrediction& state);
/// Volts across a part of the stand's way, positive when it falls the way the healthy current goes.
Voltage<> fall_across(const Stand& stand, const StatePrediction& state, PartId part);
/// The motor's line of a prediction; null when it is none or out of the circuit.
const MotorResult* motor_in(const StatePrediction& state, PartId part);

} // namespace lostvolts

// One fault growing: what the meters show at each size, and the stretch in which the ammeter misleads.
//
// Where the current misleads. A fault matters from the size at which the load loses more volts than the
// limit, or at which a motor is a tenth slower than when sound, whichever comes first. What a clamp says is
// another thing: somebody who knows the drawing, but has not measured this machine when it was sound, can't
// call a current wrong while a healthy machine of this drawing might draw it: within two standard deviations
// of the healthy parts' tolerances and the clamp's error together. The current misleads from the size at
// which the fault matters to the size at which the running current leaves that band: the fault is there, and
// the ammeter says all is well. Where the current tells first there is no such stretch; a load that takes the
// same torque at every speed has one without end.
#pragma once

#include <algorithm>
#include <optional>
#include <string_view>
#include <vector>

#include "solver/lesson/signature.h"

namespace lostvolts {

struct SweepRequest {
    PartId part = none;
    FaultKind kind = FaultKind::high_resistance;
    double low = 0, high = 0; ///< SI: ohms or a share
    int steps = 20;           ///< rows less one
};

/// "pump ground: 0 to 500 mohm", "rinse pump dragging: 0 to 200 %": part, kind of fault (the first sized one
/// that the part can have when none is said), range; the first number may leave its unit to the second.
/// Errors: no such part, a kind it can't have, no range, one that is empty or below nothing.
Result<SweepRequest> read_sweep(const Circuit& circuit, std::string_view words);

struct SweepRow {
    double size = 0;
    Current<> run_current;
    std::optional<Current<>> stall_current;
    std::optional<Speed<>> speed;
    Voltage<> across, lost;
    std::optional<Power<>> power_in_fault;
    bool solved = true; ///< false: no working point (a relay that chatters), and no numbers
};

/// What a healthy machine of this drawing may read, and the size at which the faulty one leaves that.
struct CurrentBand {
    double low = 0, high = 0;      ///< amperes
    std::optional<double> left_at; ///< nothing: not within the range
};

/// A condition that draws the same running current as the swept fault does at some size.
struct SameCurrent {
    int condition = 0;
    double size = 0;
    double amps = 0;
};

struct Sweep {
    SweepRequest request;
    std::vector<SweepRow> rows;
    Voltage<> limit;                  ///< of what the load may lose, out and back
    std::optional<double> limit_at;   ///< size at which it loses more; nothing: not within the range
    std::optional<double> slow_at;    ///< size at which a motor is a tenth slower
    CurrentBand run;                  ///< of the running current
    std::optional<CurrentBand> stall; ///< of the current with the rotor held
    std::vector<SameCurrent> doubles; ///< by size

    /// From where the fault matters; nothing: not within the range.
    std::optional<double> matters_at() const {
        return limit_at && slow_at ? std::min(limit_at, slow_at) : limit_at ? limit_at : slow_at;
    }

    /// The stretch in which the running current misleads.
    struct Stretch {
        double from = 0, to = 0;
        bool beyond = false; ///< it goes on past the end of the range
    };
    std::optional<Stretch> misleads;
};

/// Errors: the healthy circuit has no working point.
Result<Sweep> sweep(const Stand& stand, const SweepRequest& request,
                    const std::vector<Condition>& conditions = {});

} // namespace lostvolts

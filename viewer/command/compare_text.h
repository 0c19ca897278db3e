// Signatures and sweeps as a person reads them off the wall, as JSON, and as CSV.
//
// JSON of a comparison: {"circuit", "load", "state", "held_state", "conditions": [{"name", "faults", "looks",
// "run_current_A", "stall_current_A", "speed_rpm", "torque_Nm", "work_W", "across_V", "lost_V", "sag_V",
// "largest_drop": {"part", "drop_V", "open"}, "fault_power_W", "look_alikes": [names], "apart_by": {"state",
// "quantity", "red", "black", "through", "unit", "here", "there": [one a look-alike], "minutes"}, "why":
// [sentences], "problem"}], "sweep", "cautions"}; what a condition doesn't have is null. JSON of a sweep:
// {"part", "kind", "unit", "limit_V", "limit_at", "slow_at", "run_current_A": {"low", "high", "left_at"},
// "stall_current_A": {…}, "misleads": {"from", "to", "beyond"}, "same_current":
// [{"condition", "at", "current_A"}], "rows": [{"size", "run_current_A", "stall_current_A", "speed_rpm",
// "across_V", "lost_V", "fault_power_W"}]}; sizes in the fault's unit, "ohm" or "1".
#pragma once

#include <string>
#include <vector>

#include "solver/lesson/sweep.h"
#include "solver/lesson/telling.h"
#include "viewer/command/json.h"

namespace lostvolts {

/// All that one comparison has to show; the signatures' first is the healthy circuit.
struct Comparison {
    const Stand& stand;
    const std::vector<Signature>& signatures;
    const std::vector<Telling>& tellings;
    bool typical = false; ///< the conditions are the program's own: the circuit has none
};

/// The table alone, or with each condition's looks, look-alike and why.
std::string compare_text(const Comparison& c, int columns, bool table_only);
Json json_of(const Comparison& c);
std::string compare_csv(const Comparison& c);

std::string sweep_text(const Stand& stand, const Sweep& sweep, const std::vector<Condition>& conditions,
                       int columns);
Json json_of(const Stand& stand, const Sweep& sweep, const std::vector<Condition>& conditions);
std::string sweep_csv(const Sweep& sweep);

/// The letter of a signature in tables: A for the healthy one.
std::string letter_of(std::size_t index);

} // namespace lostvolts

// What a circuit with a fault reads and does: the numbers that an instructor puts side by side on the wall.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/lesson/stand.h"

namespace lostvolts {

struct Signature {
    std::string name;               ///< "healthy", or the condition's
    std::vector<Fault> faults;      ///< none: healthy
    std::optional<Problem> trouble; ///< no working point, such as a relay that chatters; then no numbers

    StatePrediction run, rest;
    std::optional<StatePrediction> stall;

    Current<> run_current; ///< through the load
    std::optional<Current<>> stall_current;
    std::optional<Speed<>> speed;
    std::optional<Torque<>> torque; ///< that the magnets give, running
    std::optional<Power<>> work;    ///< for the load: torque times speed, less what a fault brakes
    Voltage<> across;               ///< the load, running
    Voltage<> lost;                 ///< between the source's posts and the load, out and back, running
    Voltage<> sag;                  ///< of the source's posts from rest to the hardest of run and stall
    /// The conductor with the most volts across it, running; contacts that are open in the healthy circuit
    /// don't count.
    PartId largest = none;
    Voltage<> largest_drop;
    bool largest_open = false; ///< it stands open, and loses nothing: no current flows
    /// Heat or friction at the fault itself, running; nothing where the kind of fault takes none of its own.
    std::optional<Power<>> power_in_fault;
};

/// Names of faults for those that no condition names: pump ground: high resistance 180 mΩ.
std::string told(const Circuit& circuit, const std::vector<Fault>& faults);

Signature signature_of(const Stand& stand, std::string name, std::vector<Fault> faults, Workspace& work);

/// Healthy first, then each of the conditions.
std::vector<Signature> signatures(const Stand& stand, const std::vector<Condition>& conditions);

/// For a circuit without conditions of its own: one fault of each kind on the load's loop, the likeliest part
/// for each; a high resistance once on the way out and once on the way back. Sizes: a resistance that takes
/// two volts at the healthy current; else the middle of the kind's range.
std::vector<Condition> typical_faults(const Stand& stand);

} // namespace lostvolts

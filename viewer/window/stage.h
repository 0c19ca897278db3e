// What the Lesson shows, without any drawing: a circuit with faults on sliders beside the same circuit
// without them, running, with its rotor held and starting up.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "solver/lesson/signature.h"
#include "solver/spinup/spinup.h"
#include "viewer/window/worker.h"

namespace lostvolts {

/// A way for a part to fail, on a slider.
struct Knob {
    PartId part = none;
    FaultKind kind = FaultKind::high_resistance;
    double place = 0; ///< 0 … 1; 0 is healthy; of a kind without a size, anything above ½ is there
};
/// The fault that a slider stands for; nothing where it is healthy.
std::optional<Fault> fault_of(const Circuit& circuit, const Knob& knob);
/// The slider that stands for a fault, as near as it goes.
Knob knob_of(const Circuit& circuit, const Fault& fault);
/// "182 mΩ", "40 %", "there", "none".
std::string knob_text(const Circuit& circuit, const Knob& knob);
/// What can be put on sliders: every way that the part may fail.
std::vector<FaultKind> knobs_for(const Circuit& circuit, PartId part);

struct StageSetting {
    std::vector<Knob> knobs;
    std::optional<double> celsius; ///< of the surroundings; nothing: the circuit's own
    StandWish wish;
    bool starting = false; ///< work the start-up out as well

    std::vector<Fault> faults(const Circuit& circuit) const;
};

/// Amperes and volts of the load while it starts.
struct StartTrace {
    std::vector<double> seconds, volts, amps;
};

struct Stage {
    StageSetting setting;
    std::shared_ptr<const Stand> stand; ///< null: problems say why
    Signature healthy, faulty;
    std::optional<StartTrace> healthy_start, faulty_start;
    std::vector<std::string> why; ///< sentences
    Problems problems;
    double milliseconds = 0;
};

/// `text` is the circuit's file, for another temperature. Throws nothing.
Stage set_stage(const Circuit& circuit, const std::string& text, const StageSetting& setting,
                const Watch& watch);

} // namespace lostvolts

#include "viewer/window/stage.h"

#include <algorithm>
#include <cmath>
#include <exception>

#include <fmt/format.h>

#include "solver/circuit/edit.h"
#include "solver/circuit/read.h"
#include "solver/lesson/why.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

// The stretch of a resistance slider: from less than any joint has to more than leaves a load anything.
constexpr double least_ohms_on_slider = 1e-3, most_ohms_on_slider = 100;

const FaultMode* mode_of(const Circuit& circuit, const Knob& knob) {
    for (const FaultMode& mode : faults_of(circuit.parts[static_cast<std::size_t>(knob.part)].law))
        if (mode.kind == knob.kind) return &mode;
    return nullptr;
}

/// Shares run from what is healthy: a charge downward from full, what is left of a load likewise, others from
/// nothing.
bool healthy_is_whole(FaultKind kind) {
    return kind == FaultKind::low_charge || kind == FaultKind::running_light;
}

std::optional<StartTrace> start_of(const Stand& stand, const std::vector<Fault>& faults) {
    SpinUpRequest request;
    request.state = stand.run;
    request.faults = faults;
    request.duration = from_si<Time<>>(0.4);
    request.every = from_si<Time<>>(2e-4);
    request.ripple = false; // a class looks at the rise and the fall
    request.account = false;
    request.tolerance = 1e-3;
    const Part& load = stand.part(stand.load);
    request.probes = {{ProbeKind::voltage, load.from, load.to, none},
                      {ProbeKind::current, none, none, stand.load}};
    auto run = spin_up(stand.network, request);
    if (!run) return std::nullopt;
    return StartTrace{std::move(run->seconds), std::move(run->columns[0]), std::move(run->columns[1])};
}

Result<Circuit> at_temperature(const Circuit& circuit, const std::string& text,
                               std::optional<double> celsius_wanted) {
    if (!celsius_wanted || std::abs(*celsius_wanted - in_celsius(circuit.temperature)) < 0.05) return circuit;
    const auto warmer = edit_values(
        text, {{"", "", "temperature", fmt::format("{:.1f} degC", *celsius_wanted)}}, circuit.file);
    if (!warmer) return warmer.problems();
    return read_circuit_text(*warmer, circuit.file);
}

void play(Stage& stage, const Circuit& drawn, const std::string& text, const Watch& watch) {
    const auto circuit = at_temperature(drawn, text, stage.setting.celsius);
    if (!circuit) return void(stage.problems = circuit.problems());
    auto stand = put_on_stand(*circuit, stage.setting.wish);
    if (!stand) return void(stage.problems = stand.problems());
    stage.stand = std::make_shared<const Stand>(*std::move(stand));
    Workspace work;
    const std::vector<Fault> faults = stage.setting.faults(*stage.stand->circuit);
    stage.healthy = signature_of(*stage.stand, "healthy", {}, work);
    stage.faulty = signature_of(*stage.stand, told(*stage.stand->circuit, faults), faults, work);
    if (stage.faulty.trouble)
        stage.problems.push_back(*stage.faulty.trouble);
    else if (!faults.empty())
        stage.why = why(*stage.stand, stage.healthy, stage.faulty);
    if (!stage.setting.starting || watch.stopped()) return;
    stage.healthy_start = start_of(*stage.stand, {});
    if (!watch.stopped() && !faults.empty() && !stage.faulty.trouble)
        stage.faulty_start = start_of(*stage.stand, faults);
}

} // namespace

std::optional<Fault> fault_of(const Circuit& circuit, const Knob& knob) {
    const FaultMode* mode = mode_of(circuit, knob);
    if (!mode || knob.place <= 0) return std::nullopt;
    const double s = std::min(knob.place, 1.0);
    switch (size_of(knob.kind)) {
    case FaultSize::none:
        if (s <= 0.5) return std::nullopt;
        return Fault{knob.part, knob.kind, 0};
    case FaultSize::ohms:
        return Fault{knob.part, knob.kind,
                     least_ohms_on_slider * std::pow(most_ohms_on_slider / least_ohms_on_slider, s)};
    case FaultSize::share:
        break;
    }
    const double worst = healthy_is_whole(knob.kind) ? mode->low : mode->high;
    const double best = healthy_is_whole(knob.kind) ? 1.0 : 0.0;
    return Fault{knob.part, knob.kind, best + s * (worst - best)};
}

Knob knob_of(const Circuit& circuit, const Fault& fault) {
    Knob knob{fault.part, fault.kind, 1};
    const FaultMode* mode = mode_of(circuit, knob);
    if (!mode || size_of(fault.kind) == FaultSize::none) return knob;
    if (size_of(fault.kind) == FaultSize::ohms) {
        knob.place = std::log(fault.size / least_ohms_on_slider) /
                     std::log(most_ohms_on_slider / least_ohms_on_slider);
    } else {
        const double worst = healthy_is_whole(knob.kind) ? mode->low : mode->high;
        const double best = healthy_is_whole(knob.kind) ? 1.0 : 0.0;
        knob.place = (fault.size - best) / (worst - best);
    }
    knob.place = std::clamp(knob.place, 0.0, 1.0);
    return knob;
}

std::string knob_text(const Circuit& circuit, const Knob& knob) {
    const auto fault = fault_of(circuit, knob);
    if (!fault) return "none";
    const std::string text = size_text(fault->kind, fault->size);
    return text.empty() ? "yes" : text;
}

std::vector<FaultKind> knobs_for(const Circuit& circuit, PartId part) {
    std::vector<FaultKind> kinds;
    for (const FaultMode& mode : faults_of(circuit.parts[static_cast<std::size_t>(part)].law))
        kinds.push_back(mode.kind);
    return kinds;
}

std::vector<Fault> StageSetting::faults(const Circuit& circuit) const {
    std::vector<Fault> all;
    for (const Knob& knob : knobs)
        if (const auto fault = fault_of(circuit, knob)) all.push_back(*fault);
    return all;
}

Stage set_stage(const Circuit& circuit, const std::string& text, const StageSetting& setting,
                const Watch& watch) {
    const auto begun = std::chrono::steady_clock::now();
    Stage stage;
    stage.setting = setting;
    try {
        play(stage, circuit, text, watch);
    } catch (const std::exception& slip) {
        stage.problems.push_back(
            {"", {}, std::string("a slip of the program's own: ") + slip.what(), "", ""});
    }
    stage.milliseconds =
        std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - begun).count();
    return stage;
}

} // namespace lostvolts

#include "viewer/window/demonstrations.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

// What the class's ohmmeter is like: leads and last digit. Common practice, no source.
constexpr double lead_ohms = 0.2, last_digit_ohms = 0.1;

Demonstration refused(std::string title, Problem problem) {
    Demonstration d;
    d.title = std::move(title);
    d.problems = {std::move(problem)};
    return d;
}

/// The joint on the load's way that a person would suspect: a connector before a switch or a ground, on the
/// way out before the way back.
PartId joint_of(const Stand& stand) {
    const auto rank = [&](PartId p) {
        const AnyPart& law = stand.part(p).law;
        if (is_any<Connector<>>(law)) return 0;
        if (is_any<Ground<>>(law)) return 1;
        if (is_any<Switch<>, Splice<>, Relay<>, Fuse<>, Breaker<>>(law)) return 2;
        return is_any<Wire<>>(law) ? 3 : 9;
    };
    PartId best = none;
    for (const auto* way : {&stand.out, &stand.back})
        for (const PartId p : *way)
            if (rank(p) < 9 && (best == none || rank(p) < rank(best))) best = p;
    return best;
}

Fault resistance_in(PartId part, double ohms) { return {part, FaultKind::high_resistance, ohms}; }

bool has_trouble(const Signature& s) { return s.trouble.has_value(); }

std::string speed_text(const Signature& s) { return s.speed ? show(*s.speed) : "—"; }

/// The stand's circuit with one more state: run, but the load unplugged.
Circuit with_load_out(const Stand& stand) {
    Circuit c = *stand.circuit;
    State state = c.states[static_cast<std::size_t>(stand.run)];
    state.name = "load unplugged";
    std::erase(state.locked, stand.load);
    state.removed.push_back(stand.load);
    c.states.push_back(state);
    return c;
}

/// Volts that a meter shows at the plug of the load; it draws its own microampere.
double at_the_plug(const Circuit& c, const Stand& stand, const std::vector<Fault>& faults) {
    const Network network = analyse(std::make_shared<const Circuit>(c));
    Setup setup = set_up(network, static_cast<int>(c.states.size()) - 1, faults);
    Workspace work;
    Operating at;
    if (operate(network, setup, work, at)) return std::nan("");
    const Part& load = stand.part(stand.load);
    const Probe probe{ProbeKind::voltage, load.from, load.to, none};
    return read_probes(network, setup, at, work, std::span(&probe, 1)).front();
}

} // namespace

Demonstration unloaded_volts(const Circuit& circuit) {
    const std::string title = "Full volts, until something draws current";
    const auto stand = put_on_stand(circuit);
    if (!stand) return refused(title, stand.problems().front());
    const PartId joint = joint_of(*stand);
    if (joint == none) return refused(title, {"", {}, "this circuit has no joint on the load's way", "", ""});
    Workspace work;
    const Signature healthy = signature_of(*stand, "healthy", {}, work);
    // A joint that takes three quarters of what is there: as much again three times as the load itself.
    const double ohms = 3 * si(healthy.across) / std::max(std::abs(si(healthy.run_current)), 1e-3);
    const Fault fault = resistance_in(joint, ohms);
    const Signature faulty = signature_of(*stand, "corroded", {fault}, work);
    if (has_trouble(faulty)) return refused(title, *faulty.trouble);
    const Circuit unplugged = with_load_out(*stand);

    Demonstration d;
    d.title = title;
    const std::string& name = stand->part(joint).name;
    d.heads = {"red lead at the load's feed, black at its ground", "healthy",
               fmt::format("{} in {}", show(from_si<Resistance<>>(ohms), 2), name)};
    d.rows.push_back({{fmt::format("{} unplugged", stand->part(stand->load).name),
                       fixed(at_the_plug(unplugged, *stand, {}), 2, "V"),
                       fixed(at_the_plug(unplugged, *stand, {fault}), 2, "V")},
                      false});
    d.rows.push_back({{fmt::format("{} plugged in and switched on", stand->part(stand->load).name),
                       volts(healthy.across), volts(faulty.across)},
                      true});
    d.moral =
        "A bad joint drops volts only while current flows: volts = amperes × ohms, and a meter draws next to "
        "no amperes. Measure with the load on.";
    d.knobs = {knob_of(circuit, fault)};
    return d;
}

Demonstration ohmmeter_and_drop(const Circuit& circuit) {
    const std::string title = "An ohmmeter against the drop under load";
    const auto stand = put_on_stand(circuit);
    if (!stand) return refused(title, stand.problems().front());
    const PartId joint = joint_of(*stand);
    if (joint == none) return refused(title, {"", {}, "this circuit has no joint on the load's way", "", ""});
    constexpr double added = 0.05;
    Workspace work;
    const Fault fault = resistance_in(joint, added);
    const Signature healthy = signature_of(*stand, "healthy", {}, work);
    const Signature faulty = signature_of(*stand, "faulty", {fault}, work);
    if (has_trouble(faulty)) return refused(title, *faulty.trouble);
    const double before = std::abs(si(fall_across(*stand, healthy.run, joint))),
                 after = std::abs(si(fall_across(*stand, faulty.run, joint)));
    const double own = before / std::max(std::abs(si(healthy.run_current)), 1e-3);
    const auto shown = [](double ohms) {
        return fmt::format("{:.1f} Ω", std::round((ohms + lead_ohms) / last_digit_ohms) * last_digit_ohms);
    };
    Demonstration d;
    d.title = title;
    d.heads = {fmt::format("across {}", stand->part(joint).name), "healthy", "50 mΩ too much"};
    d.rows.push_back(
        {{"ohmmeter, circuit dead (its leads have 0.2 Ω)", shown(own), shown(own + added)}, false});
    d.rows.push_back(
        {{"voltmeter, load running", drop(from_si<Voltage<>>(before)), drop(from_si<Voltage<>>(after))},
         true});
    d.moral =
        fmt::format("50 mΩ lies within half a digit or so of what the leads alone show. At {} the same joint "
                    "takes {}, which any voltmeter sees.",
                    amperes(faulty.run_current), drop(from_si<Voltage<>>(after)));
    d.knobs = {knob_of(circuit, fault)};
    return d;
}

Demonstration low_current(const Circuit& circuit) {
    const std::string title = "Low current: resistance or wear?";
    const auto stand = put_on_stand(circuit);
    if (!stand) return refused(title, stand.problems().front());
    const PartId joint = joint_of(*stand);
    if (joint == none || !stand->turns())
        return refused(title, {"", {}, "this needs a motor with a joint on its way", "", ""});
    Workspace work;
    const Signature healthy = signature_of(*stand, "healthy", {}, work);
    constexpr double wear = 0.6; // of the load is left: a worn impeller
    const Fault worn{stand->load, FaultKind::running_light, wear};
    const Signature light = signature_of(*stand, "worn", {worn}, work);
    if (has_trouble(light)) return refused(title, *light.trouble);
    // The resistance that draws the same current, by halving: more resistance, less current.
    double low = 1e-3, high = 20;
    Signature starved = healthy;
    for (int k = 0; k < 50; ++k) {
        const double middle = std::sqrt(low * high);
        starved = signature_of(*stand, "resistance", {resistance_in(joint, middle)}, work);
        const bool more =
            !has_trouble(starved) && std::abs(si(starved.run_current)) > std::abs(si(light.run_current));
        (more ? low : high) = middle;
    }
    if (has_trouble(starved)) return refused(title, *starved.trouble);
    Demonstration d;
    d.title = title;
    d.heads = {"", "healthy",
               fmt::format("{} in {}", show(from_si<Resistance<>>(high), 2), stand->part(joint).name),
               "worn: 60 % of its load"};
    const auto row = [&](const char* name, const auto& text, bool tells) {
        d.rows.push_back({{name, text(healthy), text(starved), text(light)}, tells});
    };
    row(
        "amperes, running", [](const Signature& s) { return amperes(s.run_current); }, false);
    row(
        "volts across the motor", [](const Signature& s) { return volts(s.across); }, true);
    row("speed", speed_text, true);
    row(
        "amperes, rotor held",
        [](const Signature& s) { return s.stall_current ? amperes(*s.stall_current) : std::string("—"); },
        true);
    d.moral = "The ammeter shows the same in both. The volts across the motor tell: few when resistance "
              "starves it, "
              "all of them when it has too little to do.";
    d.knobs = {knob_of(circuit, resistance_in(joint, high))};
    return d;
}

} // namespace lostvolts

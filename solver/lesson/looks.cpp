#include "solver/lesson/looks.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/units/text.h"

namespace lostvolts {
namespace {

// Where a change is seen, heard or felt. All are common practice, no source: a tenth in light or a twentieth
// in speed is about what an eye or ear notices beside a sound one; three watts in a ring terminal warm it,
// fifteen make it too hot to hold.
constexpr double standing = 0.01, crawling = 0.5, slower = 0.95, faster = 1.05;
constexpr double dark = 0.2, glowing = 0.5, dimmer = 0.95, brighter = 1.05; // shares of the volts
constexpr double warm_watts = 3, hot_watts = 15;
constexpr double noticed_watts = 0.5; // what another load must gain to be seen

using Sentences = std::vector<std::string>;

const std::string& name(const Stand& stand, PartId p) { return stand.part(p).name; }

double ratio(double now, double sound) { return std::abs(sound) > 1e-12 ? now / sound : 0; }

double volts_across(const StatePrediction& s, PartId p) {
    return std::abs(si(s.parts[static_cast<std::size_t>(p)].drop));
}

std::string percent_of(double share) {
    return share < 0.095 ? fmt::format("{:.2g} %", 100 * share) : fmt::format("{:.0f} %", 100 * share);
}

/// By its speed; `fed`: it draws at least half its usual current.
Look turning(double share, bool fed) {
    if (std::abs(share) < standing)
        return {fed ? "stands still, hums and gets hot" : "stands still, silent", true};
    if (share < 0) return {"turns backwards", true};
    if (share < crawling) return {fmt::format("crawls, at {} of its speed", percent_of(share)), true};
    if (share < slower) return {fmt::format("slow, at {} of its speed", percent_of(share)), true};
    if (share > faster) return {fmt::format("fast, at {} of its speed", percent_of(share)), true};
    return {"at its usual speed", false};
}

/// By the volts it gets; a lamp's light falls faster than its volts, about as their power of 3.4 ([LMP]).
Look working(const AnyPart& law, double share) {
    const bool lamp = std::holds_alternative<Lamp<>>(law), heater = std::holds_alternative<Heater<>>(law);
    if (share >= dimmer && share <= brighter)
        return {lamp ? "as bright as usual" : heater ? "as hot as usual" : "works as usual", false};
    if (share < dark) return {lamp ? "dark" : heater ? "cold" : "dead", true};
    if (lamp && share < glowing) return {"only glows", true};
    const bool less = share < 1;
    if (lamp)
        return {
            fmt::format("{}, at {} of its light", less ? "dim" : "bright", percent_of(std::pow(share, 3.4))),
            true};
    if (heater) return {fmt::format("at {} of its heat", percent_of(share * share)), true};
    return {fmt::format("{}, at {} of its volts", less ? "weak" : "strained", percent_of(share)), true};
}

void tell_of_relays(const Stand& stand, const Signature& healthy, const Signature& sig, Sentences& all) {
    const auto closed = [](const StatePrediction& s, PartId p) {
        return std::find(s.relays_closed.begin(), s.relays_closed.end(), p) != s.relays_closed.end();
    };
    for (const PartId p : healthy.run.relays_closed) {
        const auto open_contact = [&](const Fault& f) { return f.part == p && f.kind == FaultKind::open; };
        const bool clicks = std::any_of(sig.faults.begin(), sig.faults.end(), open_contact);
        if (!closed(sig.run, p))
            all.push_back(clicks ? name(stand, p) + " clicks as usual" : "no click from " + name(stand, p));
    }
    for (const PartId p : sig.rest.relays_closed)
        if (!closed(healthy.rest, p)) all.push_back(name(stand, p) + " stays in when switched off");
}

void tell_of_fuses(const Stand& stand, const Signature& healthy, const Signature& sig, Sentences& all) {
    for (const PartId p : sig.run.overloaded_fuses)
        if (const auto& sound = healthy.run.overloaded_fuses;
            std::find(sound.begin(), sound.end(), p) == sound.end())
            all.push_back(fmt::format("{} opens", name(stand, p)));
}

/// Other loads that get clearly more or less than in the sound circuit.
void tell_of_others(const Stand& stand, const Signature& healthy, const Signature& sig, Sentences& all) {
    for (const PartResult& r : sig.run.parts) {
        if (r.part == stand.load || !is_load(stand.part(r.part).law)) continue;
        const Look look = load_look(*stand.circuit, healthy.run, sig.run, r.part);
        if (look.changed) all.push_back(name(stand, r.part) + ": " + look.words);
    }
}

void tell_of_heat(const Stand& stand, const Signature& sig, Sentences& all) {
    if (!sig.power_in_fault || sig.faults.size() != 1) return;
    const Fault& f = sig.faults.front();
    const double watts = si(*sig.power_in_fault);
    if (size_of(f.kind) != FaultSize::ohms || watts < warm_watts || f.kind == FaultKind::short_to_ground)
        return;
    all.push_back(fmt::format("{} takes {} and gets {}", name(stand, f.part), show(*sig.power_in_fault, 2),
                              watts < hot_watts ? "warm" : "too hot to hold"));
}

} // namespace

Look load_look(const Circuit& c, const StatePrediction& healthy, const StatePrediction& now, PartId load) {
    const auto amps = [&](const StatePrediction& s) {
        return std::abs(si(s.parts[static_cast<std::size_t>(load)].current));
    };
    const double volts = volts_across(now, load), sound = volts_across(healthy, load);
    const bool off = std::find(healthy.off.begin(), healthy.off.end(), load) != healthy.off.end() ||
                     !healthy.parts[static_cast<std::size_t>(load)].in_circuit;
    if (off) {
        const double watts = volts * amps(now);
        if (watts < noticed_watts) return {"off", false};
        return {fmt::format("gets {} though it is off", show(from_si<Voltage<>>(volts))), true};
    }
    const MotorResult *turns = motor_in(now, load), *turned = motor_in(healthy, load);
    if (turned)
        return turning(turns ? ratio(si(turns->speed), si(turned->speed)) : 0,
                       amps(now) > 0.5 * amps(healthy));
    return working(c.parts[static_cast<std::size_t>(load)].law, ratio(volts, sound));
}

std::string looks(const Stand& stand, const Signature& healthy, const Signature& sig) {
    if (sig.trouble) return sig.trouble->what;
    Sentences all{load_look(*stand.circuit, healthy.run, sig.run, stand.load).words};
    tell_of_relays(stand, healthy, sig, all);
    tell_of_fuses(stand, healthy, sig, all);
    tell_of_others(stand, healthy, sig, all);
    tell_of_heat(stand, sig, all);
    std::string text;
    for (const std::string& s : all) text += (text.empty() ? "" : "; ") + s;
    return text;
}

} // namespace lostvolts

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
constexpr double dark = 0.2, glowing = 0.5, dimmer = 0.93, brighter = 1.04; // shares of the volts
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

std::string turning(double share) {
    if (std::abs(share) < standing) return "stands still";
    if (share < 0) return "turns backwards";
    if (share < crawling) return fmt::format("crawls, at {} of its speed", percent_of(share));
    if (share < slower) return fmt::format("slow, at {} of its speed", percent_of(share));
    if (share > faster) return fmt::format("fast, at {} of its speed", percent_of(share));
    return "at its usual speed";
}

/// By the volts it gets; a lamp's light falls faster than its volts, about as their power of 3.4 ([LMP]).
std::string working(const AnyPart& law, double share) {
    if (std::holds_alternative<Lamp<>>(law)) {
        if (share < dark) return "dark";
        if (share < glowing) return "only glows";
        const double light = std::pow(share, 3.4);
        if (share < dimmer) return fmt::format("dim, at {} of its light", percent_of(light));
        if (share > brighter) return fmt::format("bright, at {} of its light", percent_of(light));
        return "as bright as usual";
    }
    const double heat = share * share;
    if (std::holds_alternative<Heater<>>(law)) {
        if (share > dimmer && share < brighter) return "as hot as usual";
        return share < dark ? "cold" : fmt::format("at {} of its heat", percent_of(heat));
    }
    return share < dark       ? "dead"
           : share < slower   ? fmt::format("weak, at {} of its volts", percent_of(share))
           : share > brighter ? fmt::format("strained, at {} of its volts", percent_of(share))
                              : "works as usual";
}

void tell_of_load(const Stand& stand, const Signature& healthy, const Signature& sig, Sentences& all) {
    if (stand.turns()) {
        const double share = ratio(si(*sig.speed), si(*healthy.speed));
        all.push_back(turning(share));
        const bool fed = std::abs(si(sig.run_current)) > 0.5 * std::abs(si(healthy.run_current));
        if (std::abs(share) < standing) all.push_back(fed ? "hums, and gets hot" : "silent");
        return;
    }
    all.push_back(working(stand.part(stand.load).law, ratio(si(sig.across), si(healthy.across))));
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
    const double supply = si(between_posts(stand, healthy.run));
    for (const PartResult& r : sig.run.parts) {
        if (r.part == stand.load || !is_load(stand.part(r.part).law)) continue;
        const double now = volts_across(sig.run, r.part), sound = volts_across(healthy.run, r.part);
        const bool off = sound < 0.05 * supply;
        const auto volts = show(from_si<Voltage<>>(now));
        if (off && now > 0.1 * supply && std::abs(si(r.power)) > noticed_watts)
            all.push_back(fmt::format("{} gets {} though it is off", name(stand, r.part), volts));
        else if (!off && ratio(now, sound) < dimmer)
            all.push_back(fmt::format("{}: {}", name(stand, r.part),
                                      working(stand.part(r.part).law, ratio(now, sound))));
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

std::string looks(const Stand& stand, const Signature& healthy, const Signature& sig) {
    if (sig.trouble) return sig.trouble->what;
    Sentences all;
    tell_of_load(stand, healthy, sig, all);
    tell_of_relays(stand, healthy, sig, all);
    tell_of_fuses(stand, healthy, sig, all);
    tell_of_others(stand, healthy, sig, all);
    tell_of_heat(stand, sig, all);
    std::string text;
    for (const std::string& s : all) text += (text.empty() ? "" : "; ") + s;
    return text;
}

} // namespace lostvolts

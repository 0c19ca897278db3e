#include "solver/lesson/why.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/units/text.h"

namespace lostvolts {
namespace {

constexpr double alike = 0.02; // a share: below it two numbers are told as the same

std::string of(Voltage<> v) {
    const double volts = std::abs(si(v)) < 5e-4 ? 0 : si(v);
    return fmt::format("{:.{}f} V", volts, std::abs(volts) < 0.1 && volts != 0 ? 3 : 2);
}
std::string of(Current<> i) { return show(std::abs(si(i)) < 5e-7 ? Current<>{} : i, 3); }

double change(double now, double sound) { return std::abs(sound) > 1e-12 ? now / sound - 1 : 0; }
std::string percent_of(double change) { return fmt::format("{:.0f} %", std::abs(100 * change)); }

struct Case {
    const Stand& stand;
    const Signature& healthy;
    const Signature& sig;
    std::vector<std::string> sentences{};

    bool sound() const { return sig.faults.empty(); }
    const std::string& name(PartId p) const { return stand.part(p).name; }
    const std::string& load() const { return name(stand.load); }
    void say(std::string sentence) { sentences.push_back(std::move(sentence)); }
    /// "10.81 V (12.13 V when sound)", where the two differ.
    std::string beside(const std::string& now, const std::string& sound) const {
        return now == sound ? now : fmt::format("{} ({} when sound)", now, sound);
    }
    /// "7.72 A, not 9.14 A", where the two differ.
    std::string against(const std::string& now, const std::string& sound) const {
        return now == sound ? now : fmt::format("{}, not {}", now, sound);
    }
    std::string running_amps() const { return against(of(sig.run_current), of(healthy.run_current)); }
    std::string turning_speed() const { return against(show(*sig.speed, 3), show(*healthy.speed, 3)); }
    bool on_the_way(PartId p) const {
        const auto in = [p](const std::vector<PartId>& parts) {
            return std::find(parts.begin(), parts.end(), p) != parts.end();
        };
        return in(stand.out) || in(stand.back);
    }
    bool load_has(FaultKind kind) const {
        return std::any_of(sig.faults.begin(), sig.faults.end(),
                           [&](const Fault& f) { return f.part == stand.load && f.kind == kind; });
    }
    /// A resistance in the loop of the load.
    bool resistive() const {
        return std::any_of(sig.faults.begin(), sig.faults.end(), [](const Fault& f) {
            return size_of(f.kind) == FaultSize::ohms && f.kind != FaultKind::short_to_ground;
        });
    }
    bool no_current() const {
        return std::abs(si(sig.run_current)) < 0.01 * std::abs(si(healthy.run_current));
    }

    void volts();
    void nothing_flows();
    void coil_of(PartId relay);
    void turning();
    void torque();
    void held();
    void other_load();
    void fuse(PartId p);
};

void Case::volts() {
    const Voltage<> rest = between_posts(stand, sig.rest), sound_rest = between_posts(stand, healthy.rest);
    const Voltage<> inside = rest - between_posts(stand, sig.run);
    std::string text = fmt::format("Of the source's {} at rest, {} stays inside it",
                                   beside(of(rest), of(sound_rest)), of(inside));
    Voltage<> elsewhere = sig.lost;
    for (const Fault& f : sig.faults) {
        if (!on_the_way(f.part)) continue;
        const Voltage<> fall = fall_across(stand, sig.run, f.part);
        elsewhere -= fall;
        text += fmt::format(", {} {} {}", beside(of(fall), of(fall_across(stand, healthy.run, f.part))),
                            f.kind == FaultKind::open ? "stands across the open" : "is lost across",
                            name(f.part));
    }
    text += fmt::format(", {} {}, and {} is left for {}.", of(elsewhere),
                        elsewhere == sig.lost ? "is lost on the way out and back" : "on the rest of the way",
                        beside(of(sig.across), of(healthy.across)), load());
    say(text);
}

void Case::coil_of(PartId relay) {
    const Part& part = stand.part(relay);
    const auto& law = std::get<Relay<>>(part.law);
    const Voltage<> coil = volts_at(sig.run, part.coil_from) - volts_at(sig.run, part.coil_to);
    const bool enough = std::abs(si(coil)) >= si(law.settings.pull_in);
    const bool pulled = std::find(sig.run.relays_closed.begin(), sig.run.relays_closed.end(), relay) !=
                        sig.run.relays_closed.end();
    if (pulled) return;
    std::string text = fmt::format("The coil of {} gets {}, and pulls in at {}", part.name, of(coil),
                                   of(law.settings.pull_in));
    const bool contact = std::any_of(sig.faults.begin(), sig.faults.end(), [&](const Fault& f) {
        return f.part == relay && f.kind == FaultKind::open;
    });
    if (enough) {
        text += contact ? ": it clicks, but its contact does not make."
                        : ": enough, yet it does not move: no current gets through the coil itself.";
        return say(text);
    }
    text += ": too little.";
    for (const Fault& f : sig.faults) {
        const PartResult& r = sig.run.parts[static_cast<std::size_t>(f.part)];
        if (f.part == relay || on_the_way(f.part) || f.part == stand.load) continue;
        text += fmt::format(" The {} takes {}, though it carries no more than {}.", said(stand.part(f.part)),
                            of(r.drop < Voltage<>{} ? -r.drop : r.drop),
                            of(from_si<Current<>>(std::abs(si(r.current)))));
    }
    say(text);
}

void Case::nothing_flows() {
    if (load_has(FaultKind::open)) {
        say(fmt::format(
            "No current flows, so nothing is lost on the way: {} stand across {} itself, and it is "
            "the one that is open.",
            of(sig.across), load()));
    } else if (sig.largest_open) {
        say(fmt::format("No current flows, so nothing is lost on the way: {} stand across the ends of {}, "
                        "which is open.",
                        of(sig.largest_drop), name(sig.largest)));
    } else {
        say(fmt::format("Next to no current flows: {} for {}.", of(sig.run_current),
                        of(healthy.run_current)));
    }
    for (const PartId p : healthy.run.relays_closed) coil_of(p);
}

/// What the motor's torque has to do with its current.
void Case::torque() {
    const double speed = change(si(*sig.speed), si(*healthy.speed));
    const double current = change(si(sig.run_current), si(healthy.run_current));
    const double per_ampere =
        change(si(*sig.torque) / si(sig.run_current), si(*healthy.torque) / si(healthy.run_current));
    const std::string moment = against(show(*sig.torque, 3), show(*healthy.torque, 3));
    if (std::abs(per_ampere) > alike)
        return say(
            fmt::format("Each ampere gives {} less torque than it should; at {}, it gives {} and takes {}.",
                        percent_of(per_ampere), turning_speed(), moment, running_amps()));
    if (load_has(FaultKind::dragging))
        return say(fmt::format("At {}, it has to give {}: more torque takes more current, {}.",
                               turning_speed(), moment, running_amps()));
    if (load_has(FaultKind::running_light))
        return say(fmt::format("At {}, it has to give only {}: less torque takes less current, {}.",
                               turning_speed(), moment, running_amps()));
    if (std::abs(speed) <= alike && std::abs(current) <= alike)
        return say(fmt::format("At {}, it gives {} for {}: nobody would notice.", turning_speed(), moment,
                               running_amps()));
    if (std::abs(current) <= alike)
        return say(
            fmt::format("Its load asks for the same torque at any speed, so it takes {} as ever and only "
                        "turns {}, at {}: the ammeter sees nothing.",
                        of(sig.run_current), speed < 0 ? "slower" : "faster", turning_speed()));
    say(fmt::format(
        "A motor takes the current that its load's torque asks for. At {}, that is {}, and so it takes "
        "{}{}.",
        turning_speed(), moment, running_amps(), current < 0 ? ": a weak one draws less, not more" : ""));
}

void Case::turning() {
    const MotorResult* motor = motor_in(sig.run, stand.load);
    if (!motor) return;
    if (std::abs(si(*sig.speed)) < 0.01 * std::abs(si(*healthy.speed)))
        return say(
            fmt::format("It stands still and gives no volts back: only its winding is left to hold the "
                        "current, {}.",
                        running_amps()));
    if (sound())
        say(fmt::format(
            "Turning at {}, it gives back {} of its {}; only the other {} push current through it: "
            "{}.",
            show(*sig.speed, 3), of(motor->back_emf), of(sig.across), of(sig.across - motor->back_emf),
            of(sig.run_current)));
    else
        torque();
    for (const Fault& f : sig.faults)
        if (f.part == stand.load && f.kind == FaultKind::worn_brushes)
            say(fmt::format("Its brushes take {} inside it, where no lead reaches: from outside its {} look "
                            "well.",
                            of(sig.run_current * from_si<Resistance<>>(f.size)), of(sig.across)));
}

void Case::held() {
    if (!sig.stall_current) return;
    if (sound())
        return say(fmt::format("Held still it gives nothing back, and the same winding takes {}: the current "
                               "of the first instant of every start.",
                               of(*sig.stall_current)));
    const double stalled = change(si(*sig.stall_current), si(*healthy.stall_current));
    const double running = change(si(sig.run_current), si(healthy.run_current));
    const std::string amps = against(of(*sig.stall_current), of(*healthy.stall_current));
    if (std::abs(stalled) <= alike)
        return say(fmt::format(
            "Held still it takes {}: the way to it and its winding carry what they should.", amps));
    const auto by = [](double x) { return fmt::format("{} {}", percent_of(x), x < 0 ? "less" : "more"); };
    const std::string first = resistive()
                                  ? "Held still it gives no volts back, and all the resistance of its loop "
                                    "shows: "
                                  : "Held still it takes ";
    say(fmt::format("{}{}, {}; running, it is {}.", first, amps, by(stalled),
                    std::abs(running) <= alike ? std::string("as good as unchanged") : by(running)));
}

void Case::other_load() {
    const double volts = change(si(sig.across), si(healthy.across));
    const double amps = change(si(sig.run_current), si(healthy.run_current));
    std::string text =
        fmt::format("With {} across {} the current is {}", of(sig.across), load(), running_amps());
    if (!sound() && std::holds_alternative<Lamp<>>(stand.part(stand.load).law) && volts < -alike)
        text += fmt::format(": {} less for {} less volts, for a cooler filament has less resistance",
                            percent_of(amps), percent_of(volts));
    if (std::holds_alternative<Electronic<>>(stand.part(stand.load).law) && volts < -alike && amps > alike)
        text += ": it takes its power whatever the volts, so the current rises";
    say(text + ".");
}

/// The stand with a fuse's resistance gone, which no fuse can better.
std::optional<Signature> without_resistance(const Stand& stand, PartId fuse,
                                            const std::vector<Fault>& faults) {
    auto circuit = std::make_shared<Circuit>(*stand.circuit);
    Splice<> nothing;
    nothing.resistance = from_si<Resistance<>>(least_ohms);
    circuit->parts[static_cast<std::size_t>(fuse)].law = nothing;
    Stand other = stand;
    other.circuit = circuit;
    other.network = analyse(circuit);
    Workspace work;
    Signature sig = signature_of(other, {}, faults, work);
    if (sig.trouble) return std::nullopt;
    return sig;
}

Current<> rating_of(const AnyPart& law) {
    if (const auto* fuse = std::get_if<Fuse<>>(&law)) return fuse->settings.rating;
    if (const auto* breaker = std::get_if<Breaker<>>(&law)) return breaker->settings.rating;
    return {};
}

void Case::fuse(PartId p) {
    const Current<> rating = rating_of(stand.part(p).law);
    const Current<> amps =
        from_si<Current<>>(std::abs(si(sig.run.parts[static_cast<std::size_t>(p)].current)));
    const std::string called =
        fmt::format("The {}{}", said(stand.part(p)),
                    rating > Current<>{} ? fmt::format(" ({})", write_quantity(rating)) : "");
    const auto& over = sig.run.overloaded_fuses;
    if (std::find(over.begin(), over.end(), p) != over.end())
        return say(fmt::format("{} would carry {}, and opens: that is its work. A heavier one would mend "
                               "nothing, and let the wire burn; find what draws the current.",
                               called, of(amps)));
    if (std::any_of(sig.faults.begin(), sig.faults.end(), [&](const Fault& f) { return f.part == p; }))
        return say(fmt::format("{} is itself the fault. It is to be replaced by one of the same rating, once "
                               "it is known why it went.",
                               called));
    if (no_current()) return say(fmt::format("{} has nothing to do with it: no current reaches it.", called));
    const auto better = without_resistance(stand, p, sig.faults);
    if (!better) return;
    say(fmt::format(
        "{} carries {}{} and takes {}. Without any resistance in it the load would get {} and take {}: "
        "it is not what holds the current back, and a heavier one would mend nothing, only let the "
        "wire carry more on a short.",
        called, of(amps),
        rating > Current<>{} ? fmt::format(", {:.0f} % of its rating,", 100 * si(amps / rating)) : "",
        of(fall_across(stand, sig.run, p)), of(better->across), of(better->run_current)));
}

} // namespace

std::vector<std::string> why(const Stand& stand, const Signature& healthy, const Signature& sig) {
    if (sig.trouble) return {};
    Case c{stand, healthy, sig};
    if (c.no_current()) {
        c.nothing_flows();
    } else {
        c.volts();
        if (stand.turns()) {
            c.turning();
            c.held();
        } else {
            c.other_load();
        }
    }
    for (const std::vector<PartId>* way : {&stand.out, &stand.back})
        for (const PartId p : *way)
            if (is_any<Fuse<>, Breaker<>>(stand.part(p).law)) c.fuse(p);
    return c.sentences;
}

} // namespace lostvolts

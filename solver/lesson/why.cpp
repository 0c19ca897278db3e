#include "solver/lesson/why.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/units/text.h"

namespace lostvolts {
namespace {

constexpr double alike = 0.02;       // a share: below it two numbers are told as the same
constexpr double worth_volts = 0.05; // a source's loss at rest that is worth a sentence

std::string of(Voltage<> v) { return show(std::abs(si(v)) < 5e-4 ? Voltage<>{} : v, 3); }
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
    /// " (0.03 V when sound)", unless this is the sound one.
    std::string beside(const std::string& what) const {
        return sound() ? std::string() : fmt::format(" ({} when sound)", what);
    }
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
    std::string text = fmt::format(
        "Of the source's {} at rest{}, {} {} inside it", of(rest),
        std::abs(si(rest - sound_rest)) > worth_volts ? beside(of(sound_rest)) : "", of(inside), "stay");
    Voltage<> elsewhere = sig.lost;
    for (const Fault& f : sig.faults) {
        if (!on_the_way(f.part)) continue;
        const Voltage<> fall = fall_across(stand, sig.run, f.part);
        elsewhere -= fall;
        text += fmt::format(", {} fall across {}{}", of(fall), name(f.part),
                            beside(of(fall_across(stand, healthy.run, f.part))));
    }
    const bool rest_of_way = elsewhere != sig.lost;
    text += fmt::format(", {} along {}, and {} are left for {}{}.", of(elsewhere),
                        rest_of_way ? "the rest of the way" : "the way out and back", of(sig.across), load(),
                        beside(of(healthy.across)));
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
        text += fmt::format(" {} takes {} of it, though it carries no more than {}.", name(f.part),
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
    const double constant =
        change(si(*sig.torque) / si(sig.run_current), si(*healthy.torque) / si(healthy.run_current));
    const std::string amps = fmt::format("{}{}", of(sig.run_current), beside(of(healthy.run_current)));
    const std::string at = fmt::format("At {}{}", show(*sig.speed, 3), beside(show(*healthy.speed, 3)));
    const std::string moment = fmt::format("{}{}", show(*sig.torque, 3), beside(show(*healthy.torque, 3)));
    if (std::abs(constant) > alike)
        return say(
            fmt::format("Each ampere gives {} less torque than it should; {} it gives {} and takes {}.",
                        percent_of(constant), "at " + at.substr(3), moment, amps));
    if (load_has(FaultKind::dragging))
        return say(
            fmt::format("{} it has to give {}: more torque takes more current, {}.", at, moment, amps));
    if (load_has(FaultKind::running_light))
        return say(
            fmt::format("{} it has to give only {}: less torque takes less current, {}.", at, moment, amps));
    if (std::abs(speed) <= alike && std::abs(current) <= alike)
        return say(fmt::format("{} it gives {} for {}: nobody would notice.", at, moment, amps));
    if (std::abs(current) <= alike)
        return say(fmt::format(
            "Its load asks for the same torque at any speed, so it takes {} and only turns "
            "{}, at {}{}: the ammeter sees nothing.",
            amps, speed < 0 ? "slower" : "faster", show(*sig.speed, 3), beside(show(*healthy.speed, 3))));
    std::string text =
        fmt::format("A motor takes the current that its load's torque asks for. {} that is {}, "
                    "and so it takes {}",
                    at, moment, amps);
    say(text + (current < 0 ? ": a weak one draws less, not more." : "."));
}

void Case::turning() {
    const MotorResult* motor = motor_in(sig.run, stand.load);
    if (!motor) return;
    if (std::abs(si(*sig.speed)) < 0.01 * std::abs(si(*healthy.speed)))
        return say(
            fmt::format("It stands still and gives no volts back: only its winding is left to hold the "
                        "current, {}{}.",
                        of(sig.run_current), beside(of(healthy.run_current))));
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
    const std::string amps = fmt::format("{}{}", of(*sig.stall_current), beside(of(*healthy.stall_current)));
    if (std::abs(stalled) <= alike)
        return say(fmt::format(
            "Held still it takes {}: the way to it and its winding carry what they should.", amps));
    const auto by = [](double x) { return fmt::format("{} {}", percent_of(x), x < 0 ? "less" : "more"); };
    if (std::abs(running) > std::abs(stalled))
        return say(
            fmt::format("Held still it takes {}, {}; running, {}: here the running current tells more.", amps,
                        by(stalled), by(running)));
    say(fmt::format("Held still it gives no volts back, and all the resistance of its loop shows: {}, {}; "
                    "running, it is {}.",
                    amps, by(stalled),
                    std::abs(running) <= alike ? std::string("as good as unchanged") : by(running)));
}

void Case::other_load() {
    const double volts = change(si(sig.across), si(healthy.across));
    const double amps = change(si(sig.run_current), si(healthy.run_current));
    std::string text = fmt::format("With {} across it, {} takes {}{}", of(sig.across), load(),
                                   of(sig.run_current), beside(of(healthy.run_current)));
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
    const std::string called = rating > Current<>{} ? fmt::format("{} ({})", name(p), of(rating)) : name(p);
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
    std::string gain = fmt::format("{} would be left for {}, and it would take {}", of(better->across),
                                   load(), of(better->run_current));
    say(fmt::format("{} carries {}{} and takes {} of the volts. Without any resistance in it {}: it is not "
                    "what holds the current back, and a heavier one would mend nothing, only let the wire "
                    "carry more on a short.",
                    called, of(amps),
                    rating > Current<>{} ? fmt::format(", {:.0f} % of its rating,", 100 * si(amps / rating))
                                         : "",
                    of(fall_across(stand, sig.run, p)), gain));
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

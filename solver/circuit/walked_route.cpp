#include "solver/circuit/walked_route.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/circuit/toml_text.h"

namespace lostvolts {
namespace {

constexpr int most_relays = 12; ///< that get states of their own

// A small relay's coil takes 1.6 to 1.7 W, and pulls in at 60 % of its volts: [REL], and data sheets from
// memory.
constexpr double above_12 = 18; ///< volts
constexpr std::string_view coil_of_12 = "85 ohm", coil_of_24 = "340 ohm", pull_in_of_24 = "14.4 V";

class Writer {
  public:
    explicit Writer(const WalkedRoute& route) : route_(route) { out_.walked.push_back(0); }

    WrittenRoute write() {
        line(
            "# Drafted from a walk along the wires. What is called a guess was not told: look, and mend it.");
        line("format = 1");
        pair("name", route_.title);
        pair("ground", route_.minus);
        for (const Leg& leg : route_.legs) part(leg);
        for (const Leg& leg : route_.legs)
            if (leg.line.kind == "relay") coil(leg);
        for (const WalkedPoint& p : route_.points) point(p);
        states();
        return std::move(out_);
    }

  private:
    void line(const std::string& words, int from = 0) {
        out_.toml += words + '\n';
        out_.walked.push_back(from);
    }
    void pair(std::string_view key, std::string_view value, int from = 0) {
        line(fmt::format("{} = {}", key, toml_string(value)), from);
    }
    void guess(std::string_view key, std::string_view value, int from) {
        line(fmt::format("{} = {} # a guess", key, toml_string(value)), from);
    }

    void head(std::string_view name, std::string_view kind, std::string_view from, std::string_view to,
              int walked) {
        line("");
        line("[[part]]", walked);
        pair("name", name, walked);
        pair("kind", kind, walked);
        pair("from", from, walked);
        pair("to", to, walked);
    }

    void part(const Leg& leg) {
        const WalkLine& walked = leg.line;
        head(walked.name, walked.kind, leg.from, leg.to, walked.number);
        for (const Field& field : walked.values) pair(field.key, field.value, walked.number);
        if (walked.kind == "switch") switches_.push_back(walked.name);
        if (walked.kind == "motor") motors_.push_back(walked.name);
        if (walked.kind != "relay") return;
        pair("coil_from", leg.coil.plus, walked.number);
        pair("coil_to", leg.coil.minus, walked.number);
        const bool higher = route_.volts > above_12;
        if (!walked.value("coil")) {
            const auto ohms = higher ? coil_of_24 : coil_of_12;
            guess("coil", ohms, walked.number);
            out_.guesses.push_back(fmt::format("relay \"{}\": a coil of {}", walked.name, ohms));
        }
        if (!higher || walked.value("pull_in")) return;
        guess("pull_in", pull_in_of_24, walked.number);
        out_.guesses.push_back(fmt::format("relay \"{}\": pulls in at {}", walked.name, pull_in_of_24));
    }

    void coil(const Leg& leg) {
        const GuessedCoil& c = leg.coil;
        line("");
        line("# a guess: how the coil is fed and grounded");
        head(c.switched, "switch", leg.from, c.plus, leg.line.number);
        head(c.ground, "ground", c.minus, route_.minus, leg.line.number);
        switches_.push_back(c.switched);
        out_.guesses.push_back(fmt::format(
            "relay \"{}\": its coil is fed from \"{}\" by a switch \"{}\", and grounded at \"{}\"",
            leg.line.name, leg.from, c.switched, route_.minus));
    }

    void point(const WalkedPoint& p) {
        line("");
        line("[[point]]", p.line);
        pair("name", p.name, p.line);
        if (!p.access.empty()) pair("access", p.access, p.line);
        if (!p.note.empty()) pair("note", p.note, p.line);
    }

    static std::string list(const std::vector<std::string>& names, const std::string& but = {}) {
        std::vector<std::string> texts;
        texts.reserve(names.size());
        for (const std::string& name : names)
            if (name != but) texts.push_back(toml_string(name));
        return texts.empty() ? "" : fmt::format("[{}]", fmt::join(texts, ", "));
    }

    /// With every switch closed, save one that would feed a coil whose contact is bridged.
    void state(const std::string& name, const std::string& but = {}, std::string_view key = {},
               const std::vector<std::string>& parts = {}) {
        line("");
        line("[[state]]");
        pair("name", name);
        if (const std::string closed = list(switches_, but); !closed.empty()) line("closed = " + closed);
        if (!parts.empty()) line(fmt::format("{} = {}", key, list(parts)));
    }

    /// As people measure: running, the rotors held, each relay bridged by a fused jumper, and out of its
    /// socket.
    void states() {
        state("run");
        if (!motors_.empty()) state("stall", {}, "locked", motors_);
        std::vector<const Leg*> relays;
        for (const Leg& leg : route_.legs)
            if (leg.line.kind == "relay" && relays.size() < most_relays) relays.push_back(&leg);
        for (const Leg* leg : relays) {
            const std::string& relay = leg->line.name;
            const bool only = relays.size() == 1;
            state(only ? "bridged" : relay + " bridged", leg->coil.switched, "bridged", {relay});
            state(only ? "relay out" : relay + " out", {}, "removed", {relay});
        }
    }

    const WalkedRoute& route_;
    std::vector<std::string> switches_, motors_;
    WrittenRoute out_;
};

} // namespace

WrittenRoute write_route(const WalkedRoute& route) { return Writer(route).write(); }

} // namespace lostvolts

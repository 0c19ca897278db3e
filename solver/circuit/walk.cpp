#include "solver/circuit/walk.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <unordered_map>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/circuit/names.h"
#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "solver/circuit/toml_text.h"
#include "solver/circuit/walk_line.h"

namespace lostvolts {
namespace {

bool is_source(const WalkLine& line) { return line.kind == "battery" || line.kind == "charger"; }
bool is_load(const WalkLine& line) {
    constexpr std::array<std::string_view, 5> loads{"motor", "lamp", "heater", "electronic", "solenoid"};
    return std::find(loads.begin(), loads.end(), line.kind) != loads.end();
}

/// A source's, or 0 where none are told.
double volts_of(const WalkLine& source) {
    const std::string* told = source.value(source.kind == "battery" ? "emf" : "regulated");
    if (!told) return 0;
    const auto read = read_quantity<Voltage<>>(*told);
    const auto* volts = std::get_if<Voltage<>>(&read);
    return volts ? si(*volts) : 0;
}

/// A line of the walk with its two ends.
struct Leg {
    WalkLine line;
    std::string from, to;
};

struct Access {
    std::string point, minutes, note;
    int line = 0;
};

/// The file as it grows, and for each of its lines the one of the walk that it comes from.
struct Written {
    std::string text;
    std::vector<int> walked{0}; ///< by line, from 1; 0: none

    void line(const std::string& words, int from = 0) {
        text += words + '\n';
        walked.push_back(from);
    }
    void pair(std::string_view key, std::string_view value, int from = 0) {
        line(fmt::format("{} = {}", key, toml_string(value)), from);
    }
};

constexpr std::size_t most_relays = 12; ///< that get states of their own

class Walk {
  public:
    Walk(std::string_view text, const std::string& file, const std::string& title)
        : text_(text), file_(file), title_(title) {}

    Result<WalkedCircuit> circuit() {
        read_lines();
        if (problems_.empty()) name_parts();
        if (problems_.empty()) give_ends();
        if (problems_.empty()) find_dead_ends();
        if (!problems_.empty()) return tidy(std::move(problems_), text_);
        WalkedCircuit walked;
        walked.toml = write();
        walked.guesses = std::move(guesses_);
        auto circuit = read_circuit_text(walked.toml, file_);
        if (!circuit) return tidy(in_words_of_the_walk(circuit.problems()), text_);
        walked.circuit = *std::move(circuit);
        return walked;
    }

  private:
    void wrong(Place place, std::string what, std::string write) {
        problems_.push_back({file_, place, std::move(what), std::move(write), ""});
    }

    void read_lines() {
        int number = 0;
        for (std::size_t at = 0; at < text_.size();) {
            const std::size_t end = std::min(text_.find('\n', at), text_.size());
            if (auto line = read_walk_line(text_.substr(at, end - at), ++number, file_, problems_))
                lines_.push_back(*std::move(line));
            at = end + 1;
        }
        const auto first = std::find_if(lines_.begin(), lines_.end(),
                                        [](const WalkLine& l) { return l.says != WalkLine::Says::name; });
        const auto parts = std::count_if(lines_.begin(), lines_.end(),
                                         [](const WalkLine& l) { return l.says == WalkLine::Says::part; });
        if (first == lines_.end() && problems_.empty())
            wrong({}, "the walk has no parts", "begin at the battery, a line a part:  battery 12.6 V 9 mohm");
        else if (first != lines_.end() && !is_source(*first) && problems_.empty())
            wrong(first->place, "a walk begins at a source",
                  "write the battery's line first:  battery 12.6 V 9 mohm");
        else if (parts == 1 && problems_.empty())
            wrong(first->place, "the walk has nothing but a source", "add the parts it feeds, a line a part");
    }

    /// What has no name is called by its kind, and by a number where there are several.
    void name_parts() {
        std::unordered_map<std::string, int> first_line, unnamed, given;
        for (const WalkLine& line : lines_) {
            if (line.says != WalkLine::Says::part) continue;
            if (line.name.empty()) {
                ++unnamed[line.kind];
                continue;
            }
            const auto [there, fresh] = first_line.emplace(line.name, line.number);
            if (!fresh)
                wrong(line.place,
                      fmt::format("part \"{}\" is there twice, first in line {}", line.name, there->second),
                      "give each its own name");
        }
        for (WalkLine& line : lines_) {
            if (line.says != WalkLine::Says::part || !line.name.empty()) continue;
            do {
                const int k = ++given[line.kind];
                line.name =
                    unnamed[line.kind] == 1 && k == 1 ? line.kind : fmt::format("{} {}", line.kind, k);
            } while (!first_line.emplace(line.name, line.number).second);
        }
    }

    /// A point's name that no other has.
    std::string new_point(const std::string& wanted, Place place) {
        std::string name = wanted;
        for (int k = 2; points_.find(name) >= 0; ++k) name = fmt::format("{} {}", wanted, k);
        points_.find_or_add(name, place);
        return name;
    }

    /// Between a part and the next of its branch.
    std::string point_after(const WalkLine& part, const WalkLine& next) {
        const auto called = [&](const std::string& name) { return new_point(name, part.place); };
        if (is_source(part)) return called(part.name + " +");
        if (is_source(next)) return called(next.name + " -");
        if (is_load(next)) return called(next.name + " +");
        if (is_load(part)) return called(part.name + " -");
        if (next.kind == "relay") return called(next.name + " 30");
        if (part.kind == "relay") return called(part.name + " 87");
        return called(fmt::format("{} / {}", part.name, next.name));
    }

    void give_ends() {
        std::string here;
        for (std::size_t k = 0; k < lines_.size(); ++k) {
            WalkLine& line = lines_[k];
            if (line.says == WalkLine::Says::name) {
                title_ = line.name;
                continue;
            }
            if (line.says == WalkLine::Says::from) {
                if (points_.find(line.name) < 0)
                    wrong(line.place, fmt::format("the walk has no point \"{}\" so far", line.name),
                          points_.advice(line.name));
                here = line.name;
                continue;
            }
            if (minus_.empty()) here = minus_ = new_point(line.name + " -", line.place);
            const bool goes_on = k + 1 < lines_.size() && lines_[k + 1].says == WalkLine::Says::part;
            std::string there = line.point;
            if (!there.empty())
                points_.find_or_add(there, line.place);
            else
                there = goes_on ? point_after(line, lines_[k + 1]) : minus_;
            if (there == here)
                wrong(line.place,
                      fmt::format("both ends of {} \"{}\" would be at \"{}\"", line.kind, line.name, here),
                      "write to, and the point at its other end");
            if (legs_.empty()) volts_ = volts_of(line);
            if (!line.access.empty() || !line.note.empty())
                access_.push_back({there, line.access, line.note, line.number});
            legs_.push_back({line, here, there});
            here = there;
        }
    }

    /// A branch that ends at a point of its own leads nowhere.
    void find_dead_ends() {
        std::unordered_map<std::string, int> ends;
        for (const Leg& leg : legs_) ++ends[leg.from], ++ends[leg.to];
        for (const Leg& leg : legs_)
            if (ends[leg.to] == 1)
                wrong(leg.line.place,
                      fmt::format("{} \"{}\" ends at \"{}\", where nothing goes on", leg.line.kind,
                                  leg.line.name, leg.to),
                      fmt::format("a branch may end at a point of the walk; without to it ends at \"{}\"",
                                  minus_));
    }

    std::string write() {
        out_.line(
            "# Drafted from a walk along the wires. What is called a guess was not told: look, and mend it.");
        out_.line("format = 1");
        out_.pair("name", title_);
        out_.pair("ground", minus_);
        for (const Leg& leg : legs_) write_part(leg);
        for (const Leg& leg : legs_)
            if (leg.line.kind == "relay") write_coil(leg);
        for (const Access& access : access_) {
            out_.line("");
            out_.line("[[point]]");
            out_.pair("name", access.point, access.line);
            if (!access.minutes.empty()) out_.pair("access", access.minutes, access.line);
            if (!access.note.empty()) out_.pair("note", access.note, access.line);
        }
        write_states();
        return std::move(out_.text);
    }

    void write_head(std::string_view name, std::string_view kind, std::string_view from, std::string_view to,
                    int line) {
        out_.line("");
        out_.line("[[part]]", line);
        out_.pair("name", name, line);
        out_.pair("kind", kind, line);
        out_.pair("from", from, line);
        out_.pair("to", to, line);
    }

    void write_part(const Leg& leg) {
        const WalkLine& line = leg.line;
        write_head(line.name, line.kind, leg.from, leg.to, line.number);
        for (const Field& field : line.values) out_.pair(field.key, field.value, line.number);
        if (line.kind == "switch") switches_.push_back(line.name);
        if (line.kind == "motor") motors_.push_back(line.name);
        if (line.kind != "relay") return;
        out_.pair("coil_from", coil_end(line, "86"), line.number);
        out_.pair("coil_to", coil_end(line, "85"), line.number);
        if (line.value("coil")) return;
        // A small relay's coil takes 1.6 to 1.7 W, and pulls in at 60 % of its volts: [REL], and data sheets
        // from memory.
        const bool on_24 = volts_ > 18;
        out_.line(fmt::format("coil = \"{} ohm\" # a guess", on_24 ? 340 : 85), line.number);
        if (on_24 && !line.value("pull_in")) out_.line("pull_in = \"14.4 V\" # a guess", line.number);
        guesses_.push_back(fmt::format("relay \"{}\": a coil of {} ohm", line.name, on_24 ? 340 : 85));
    }

    std::string coil_end(const WalkLine& relay, std::string_view terminal) {
        std::string& name = coil_ends_[relay.name + ' ' + std::string(terminal)];
        if (name.empty()) name = new_point(fmt::format("{} {}", relay.name, terminal), relay.place);
        return name;
    }

    std::string new_part(const std::string& wanted) const {
        const auto taken = [&](const std::string& name) {
            return std::any_of(legs_.begin(), legs_.end(),
                               [&](const Leg& leg) { return leg.line.name == name; });
        };
        std::string name = wanted;
        for (int k = 2; taken(name); ++k) name = fmt::format("{} {}", wanted, k);
        return name;
    }

    /// Fed from where the contact is, behind whatever fuse there is.
    void write_coil(const Leg& leg) {
        const WalkLine& relay = leg.line;
        const std::string by = new_part(relay.name + " switch"), back = new_part(relay.name + " coil ground");
        out_.line("");
        out_.line("# a guess: how the coil is fed and grounded");
        write_head(by, "switch", leg.from, coil_end(relay, "86"), relay.number);
        write_head(back, "ground", coil_end(relay, "85"), minus_, relay.number);
        switches_.push_back(by);
        coil_switch_[relay.name] = by;
        guesses_.push_back(fmt::format(
            "relay \"{}\": its coil is fed from \"{}\" by a switch \"{}\", and grounded at \"{}\"",
            relay.name, leg.from, by, minus_));
    }

    void write_state(const std::string& name, const std::string& but, std::string_view list,
                     const std::vector<std::string>& parts) {
        const auto quoted = [](const std::vector<std::string>& names) {
            std::vector<std::string> texts;
            for (const std::string& n : names) texts.push_back(toml_string(n));
            return fmt::format("[{}]", fmt::join(texts, ", "));
        };
        std::vector<std::string> closed;
        for (const std::string& s : switches_)
            if (s != but) closed.push_back(s);
        out_.line("");
        out_.line("[[state]]");
        out_.pair("name", name);
        if (!closed.empty()) out_.line(fmt::format("closed = {}", quoted(closed)));
        if (!parts.empty()) out_.line(fmt::format("{} = {}", list, quoted(parts)));
    }

    /// As people measure: running, the rotors held, each relay bridged by a fused jumper, and out of its
    /// socket.
    void write_states() {
        write_state("run", "", "", {});
        if (!motors_.empty()) write_state("stall", "", "locked", motors_);
        std::size_t relays = 0;
        for (const Leg& leg : legs_) {
            if (leg.line.kind != "relay" || ++relays > most_relays) continue;
            const std::string& relay = leg.line.name;
            const bool only = coil_switch_.size() == 1;
            write_state(only ? "bridged" : relay + " bridged", coil_switch_[relay], "bridged", {relay});
            write_state(only ? "relay out" : relay + " out", "", "removed", {relay});
        }
    }

    /// The circuit's mistakes at the lines that they come from, values without their keys.
    Problems in_words_of_the_walk(Problems problems) const {
        for (Problem& p : problems) {
            const auto line = static_cast<std::size_t>(std::max(0, p.place.line));
            const int walked = line < out_.walked.size() ? out_.walked[line] : 0;
            p.place = {};
            for (const WalkLine& from : lines_)
                if (walked > 0 && from.number == walked) p.place = from.place;
            p.write = without_keys(p.write);
        }
        return problems;
    }

    /// `size = "4 mm2"` is "4 mm2" in a walk.
    static std::string without_keys(const std::string& text) {
        const std::size_t is = text.find(" = \"");
        if (is == std::string::npos) return text;
        const std::size_t end = text.find('"', is + 4);
        if (end == std::string::npos) return text;
        std::size_t key = is;
        while (key > 0 && (std::isalnum(static_cast<unsigned char>(text[key - 1])) || text[key - 1] == '_'))
            --key;
        return text.substr(0, key) + text.substr(is + 4, end - is - 4) + without_keys(text.substr(end + 1));
    }

    std::string_view text_;
    const std::string& file_;
    std::string title_;
    Problems problems_;
    std::vector<WalkLine> lines_;
    Names points_{"point"};
    std::string minus_; ///< of the first source
    double volts_ = 0;  ///< its own
    std::vector<Leg> legs_;
    std::vector<Access> access_;
    std::vector<std::string> switches_, motors_, guesses_;
    std::unordered_map<std::string, std::string> coil_ends_, coil_switch_;
    Written out_;
};

} // namespace

Result<WalkedCircuit> circuit_of_walk(std::string_view walk, const std::string& file,
                                      const std::string& title) {
    return Walk(walk, file, title).circuit();
}

} // namespace lostvolts

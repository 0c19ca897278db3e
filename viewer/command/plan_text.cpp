#include "viewer/command/plan_text.h"

#include <algorithm>
#include <cmath>
#include <filesystem>

#include <fmt/format.h>

#include "solver/lesson/request.h"
#include "solver/locate/effort.h"
#include "solver/locate/toolbox.h"
#include "solver/locate/write_readings.h"
#include "solver/units/lines.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

constexpr int narrow = 60;            // columns; below it an outcome is a paragraph, not a row
constexpr std::size_t most_named = 4; // parts in one line
constexpr double nearly_all = 0.9;    // of probability: who is left beyond that is "another"
constexpr double worth_a_note = 3;    // minutes of access from which a point's note is told

/// The quoted names of those that are in `now` and not in `before`.
std::string fresh(const Circuit& c, const std::vector<PartId>& now, const std::vector<PartId>& before) {
    std::string text;
    for (const PartId p : now)
        if (std::find(before.begin(), before.end(), p) == before.end())
            text += fmt::format("{}\"{}\"", text.empty() ? "" : " and ", part_name(c, p));
    return text;
}

std::string minutes_text(double minutes) { return fmt::format("{:.0f} min", std::max(minutes, 1.0)); }

struct Telling {
    const Readings& readings;
    const Location& location;
    int columns;
    Toolbox tools{};
    std::string out{};
    std::vector<Standing> standings{}; // per step told

    const Circuit& circuit() const { return readings.circuit; }
    const PlanStep& step(int k) const { return location.plan.steps[static_cast<std::size_t>(k)]; }
    void paragraph(const std::string& words, int first, int rest) {
        out += wrapped(words, columns, first, rest) + '\n';
    }

    std::string left(const PlanOutcome& o) const;
    std::string meaning(const PlanOutcome& o) const;
    std::string span(const NextReading& r, const PlanOutcome& o) const;
    std::string shown(const NextReading& r, const PlanOutcome& o) const;
    std::string when(int step, const PlanOutcome& o) const;
    void sources(const Standing& before, const NextReading& r);
    void how_to(int k, const Standing& before);
    std::string value(const NextReading& r, double value) const;
    void tell(int k);
};

/// Part by part, "pump ground or bilge pump (worn brushes or open)": what is not a plain high resistance says
/// what it is.
std::string part_by_part(const Circuit& c, const Location& l, const std::vector<int>& suspects,
                         std::string_view joint) {
    std::vector<std::pair<std::string, std::vector<std::string>>> parts; // name, kinds
    for (const int k : suspects) {
        const Suspect& s = l.suspects[static_cast<std::size_t>(k)];
        const bool single = s.faults.size() == 1;
        const std::string name = single ? part_name(c, s.faults[0].part) : suspect_name(c, s);
        auto at = std::find_if(parts.begin(), parts.end(), [&](const auto& p) { return p.first == name; });
        if (at == parts.end()) at = parts.insert(at, {name, {}});
        if (single) at->second.emplace_back(name_of(s.faults[0].kind));
    }
    const auto listed = [](const std::vector<std::string>& all, std::size_t most, std::string_view joint) {
        std::string text;
        for (std::size_t k = 0; k < std::min(all.size(), most); ++k)
            text += fmt::format("{}{}", k == 0 ? "" : joint, all[k]);
        return all.size() > most ? text + fmt::format("{}{} more", joint, all.size() - most) : text;
    };
    std::vector<std::string> all;
    for (const auto& [name, kinds] : parts) {
        const bool plain =
            kinds.empty() || (kinds.size() == 1 && kinds[0] == name_of(FaultKind::high_resistance));
        all.push_back(plain ? name : fmt::format("{} ({})", name, listed(kinds, kinds.size(), " or ")));
    }
    return listed(all, most_named, joint);
}

/// Who is left, as few as make up nine tenths; when it is settled, only the part that it is.
std::string Telling::left(const PlanOutcome& o) const {
    std::vector<int> named;
    double together = 0;
    for (const PlanOutcome::Share& s : o.suspects) {
        if (together >= nearly_all) break;
        const auto& faults = location.suspects[static_cast<std::size_t>(s.suspect)].faults;
        if (o.settled &&
            std::none_of(faults.begin(), faults.end(), [&](const FoundFault& f) { return f.part == o.mend; }))
            continue;
        named.push_back(s.suspect);
        together += s.probability;
    }
    return part_by_part(circuit(), location, named, " or ");
}

std::string Telling::meaning(const PlanOutcome& o) const {
    if (o.settled && o.mend == none) return "Nothing is wrong with this circuit: stop here.";
    if (o.settled) {
        const AnyPart& law = circuit().parts[static_cast<std::size_t>(o.mend)].law;
        const std::string_view remedy = std::holds_alternative<Battery<>>(law) ? "Charge or change it"
                                        : std::holds_alternative<Motor<>>(law) ? "See to it"
                                                                               : "Mend it";
        return fmt::format("It is the {} {}. {} and test again.", kind_of(law), left(o), remedy);
    }
    std::string text = o.next == none ? "Enter it and run locate again."
                                      : fmt::format("Go on with {}.", strong(std::to_string(o.next + 1)));
    text += " Left: " + left(o) + '.';
    if (!o.cleared.empty())
        text += " Cleared: " + part_by_part(circuit(), location, o.cleared, " and ") + '.';
    return text;
}

std::string Telling::value(const NextReading& r, double value) const {
    return value_text(r.quantity, value, tool_resolution(tools, r.quantity, value));
}

/// The number in the middle, or the words.
std::string Telling::shown(const NextReading& r, const PlanOutcome& o) const {
    return o.words.empty() ? value(r, o.expect) : words_text(r.quantity, o.words);
}

/// "If 1 read about 0.41 V: "; "If 1 says dark or dim: ".
std::string Telling::when(int k, const PlanOutcome& o) const {
    return fmt::format("If {} {} {}: ", k + 1, o.words.empty() ? "read about" : "says",
                       shown(step(k).reading, o));
}

std::string Telling::span(const NextReading& r, const PlanOutcome& o) const {
    if (!o.words.empty()) return "";
    const std::string span =
        span_text(r.quantity, o.low, o.high, tool_resolution(tools, r.quantity, o.expect));
    return span == value(r, o.expect) ? "" : fmt::format("({})", span);
}

/// An ohmmeter goes on a dead circuit only.
void Telling::sources(const Standing& before, const NextReading& r) {
    const bool dead = r.quantity == Measurand::resistance;
    const std::string names = fresh(circuit(), sources_in(circuit(), r.state), {});
    if (dead == before.dead || names.empty()) return;
    paragraph(dead ? fmt::format("First: disconnect {}: the ground lead off and insulated.", names)
                   : fmt::format("First: connect {} again, the ground lead last.", names),
              5, 5);
}

/// What to do before the leads go on: the sources, the state, if it changes, and how to get at points that
/// are still hidden.
void Telling::how_to(int k, const Standing& before) {
    const NextReading& r = step(k).reading;
    sources(before, r);
    if (const std::string way = way_to_state(circuit(), before.state, r.state); !way.empty())
        paragraph(fmt::format("First: {}.", way), 5, 5);
    std::string told;
    for (const PointId p : {r.red, r.black}) {
        if (p == none || minutes_to_reach(circuit(), before, p) < worth_a_note) continue;
        const Point& point = circuit().points[static_cast<std::size_t>(p)];
        if (point.note.empty() || point.note == told) continue;
        paragraph(fmt::format("\"{}\": {}.", point.name, point.note), 5, 5);
        told = point.note;
    }
}

void Telling::tell(int k) {
    const PlanStep& s = step(k);
    const NextReading& r = s.reading;
    std::string led;
    Standing before = standing_of(readings);
    for (int other = 0; other < k; ++other)
        for (const PlanOutcome& o : step(other).outcomes)
            if (o.next == k) {
                led = when(other, o);
                before = standings[static_cast<std::size_t>(other)];
            }
    standings.push_back(before);
    take(standings.back(), {r.state, r.quantity, r.red, r.black, r.through, r.meter});
    paragraph(fmt::format("{}. {}{}tate {}: {}. About {}.", k + 1, led, led.empty() ? 'S' : 's',
                          circuit().states[static_cast<std::size_t>(r.state)].name, what_to_read(readings, r),
                          minutes_text(r.minutes)),
              2, 5);
    how_to(k, before);
    Table table;
    table.columns = {{"", true, false, 0}, {"", false, false, 2}, {"", true, false, 1}, {"", false, true, 0}};
    for (const PlanOutcome& o : s.outcomes)
        if (columns < narrow)
            paragraph(fmt::format("{}, {}: {}", strong(shown(r, o)), percent(o.probability), meaning(o)), 5,
                      7);
        else
            table.add({shown(r, o), span(r, o), percent(o.probability), meaning(o)});
    out += draw(table, columns, 5);
}

/// As one word of a shell's command.
std::string shell_word(const std::string& text) {
    if (text.find_first_of(" \t\n\"'`$\\!&|;<>()[]{}*?#~") == std::string::npos) return text;
    std::string word = "'";
    for (const char c : text) word += c == '\'' ? std::string("'\\''") : std::string(1, c);
    return word + "'";
}

/// The words of the command that notes what this reads; none where the readings came through a pipe or the
/// names can't be told in words.
std::vector<std::string> words_to_note(const Readings& readings, const NextReading& next) {
    std::error_code ignored;
    if (!std::filesystem::is_regular_file(readings.file, ignored)) return {};
    const auto place =
        place_words(readings.circuit, {next.state, next.quantity, next.red, next.black, next.through, none});
    if (!place) return {};
    std::vector<std::string> words{"lostvolts", "note", shell_word(readings.file)};
    const std::string meter =
        next.meter == none ? "" : readings.meters[static_cast<std::size_t>(next.meter)].name;
    if (!meter.empty() && meter != last_meter(readings, next.quantity))
        words.insert(words.end(), {"--meter", shell_word(meter)});
    words.emplace_back("VALUE");
    for (const std::string_view word : split_words(*place)) {
        if (word.size() > 1 && word.front() == '-') return {}; // would be taken for an option
        words.push_back(shell_word(std::string(word)));
    }
    return words;
}

/// On as many lines as it takes, which a shell takes for one. Empty where a word is too long for a line.
std::string command_text(const std::vector<std::string>& words, int columns) {
    std::string text = "   ";
    int at = 3;
    for (const std::string& word : words) {
        if (width_of(word) > columns - 8) return {};
        if (at > 3 && at + 1 + width_of(word) > columns - 2) text += " \\\n     ", at = 5;
        text += ' ' + word;
        at += 1 + width_of(word);
    }
    return words.empty() ? "" : text + '\n';
}

} // namespace

std::string way_to_state(const Circuit& c, int from, int to) {
    static const State as_it_is;
    if (from == to) return {};
    const State& now = from == none ? as_it_is : c.states[static_cast<std::size_t>(from)];
    const State& then = c.states[static_cast<std::size_t>(to)];
    std::string text;
    const auto say = [&](std::string_view before, const std::string& what, std::string_view behind) {
        if (!what.empty()) text += fmt::format("{}{}{}{}", text.empty() ? "" : "; ", before, what, behind);
    };
    const std::string out = fresh(c, then.removed, now.removed), back = fresh(c, now.removed, then.removed),
                      in = fresh(c, then.bridged, now.bridged), off = fresh(c, now.bridged, then.bridged);
    if (!(out + back + in + off).empty()) say("", "current off", "");
    say("take out ", out, "");
    say("put ", back, " back");
    say("take the jumper off ", off, "");
    say("fused jumper across ", in, "");
    say("switch off ", fresh(c, now.closed, then.closed), "");
    say("switch on ", fresh(c, then.closed, now.closed), "");
    say("hold the rotor of ", fresh(c, then.locked, {}), ", for two seconds at most");
    return text;
}

std::string plan_text(const Readings& readings, const Location& location, int columns) {
    const Plan& plan = location.plan;
    if (plan.steps.empty()) return {};
    Telling telling{readings, location, columns, toolbox_of(readings)};
    const auto deepest = std::max_element(plan.steps.begin(), plan.steps.end(),
                                          [](const auto& a, const auto& b) { return a.depth < b.depth; });
    if (plan.steps.size() > 1) {
        const double tenths = std::round(10 * plan.settled);
        const std::string settles = tenths >= 10 ? "they settle it"
                                    : tenths < 1
                                        ? "they leave fewer suspects and seldom settle it"
                                        : fmt::format("they settle it in {:.0f} of 10 cases", tenths);
        telling.paragraph(fmt::format("At most {} readings, about {} in all; {}.", deepest->depth + 1,
                                      minutes_text(plan.minutes), settles),
                          2, 2);
    }
    for (int k = 0; k < static_cast<int>(plan.steps.size()); ++k) telling.tell(k);
    const std::string command = command_text(words_to_note(readings, plan.steps.front().reading), columns);
    telling.paragraph(fmt::format("If a reading is none of these: enter it and run locate again.{}",
                                  command.empty() ? "" : " To enter 1, with what it reads for VALUE:"),
                      2, 2);
    telling.out += command;
    return telling.out;
}

} // namespace lostvolts

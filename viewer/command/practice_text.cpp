#include "viewer/command/practice_text.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include "solver/lesson/why.h"
#include "solver/units/text.h"
#include "viewer/command/cautions_text.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

constexpr double told_nothing = 0.05; // bits

std::string minutes_text(double minutes) { return fmt::format("{:.3g} min", std::round(10 * minutes) / 10); }

const std::string& state_name(const Game& g, int s) {
    return g.circuit->states[static_cast<std::size_t>(s)].name;
}
const std::string& part_name(const Game& g, PartId p) {
    return g.circuit->parts[static_cast<std::size_t>(p)].name;
}

/// With the decimals that the meter shows.
std::string shown(const Taken& t) {
    if (t.asked.quantity == Measurand::voltage) return fixed(t.value, 2, "V");
    if (t.asked.quantity == Measurand::current) return fixed(t.value, 1, "A");
    if (t.open) return words_text(t.asked.quantity, {0});
    return value_text(t.asked.quantity, t.value);
}

std::string read_where(const Game& g, const Taken& t) {
    return fmt::format(
        "{}: {}", state_name(g, t.asked.state),
        what_is_read(*g.circuit, t.asked.quantity, t.asked.red, t.asked.black, t.asked.through));
}

std::string bits_text(const Taken& t) {
    if (t.again) return "read before";
    return t.bits < told_nothing ? "nothing" : fmt::format("{:.1f} bits", t.bits);
}

std::string play_table(const Game& g, const Play& play, int columns) {
    Table table;
    table.columns = {{"", true, false, 0},     {"reading", false, true, 0}, {"shown", true, false, 0},
                     {"took", true, false, 1}, {"told", true, false, 0},    {"right part", true, false, 2}};
    for (std::size_t k = 0; k < play.taken.size(); ++k) {
        const Taken& t = play.taken[k];
        table.add({std::to_string(k + 1), read_where(g, t), shown(t), minutes_text(t.minutes), bits_text(t),
                   percent(t.truth_after)});
    }
    return draw(table, columns);
}

std::string readings_in(const Play& play) {
    const std::size_t n = play.taken.size();
    return fmt::format("{} reading{} in {}", n, n == 1 ? "" : "s", minutes_text(play.minutes));
}

/// The hidden fault, as locate would tell it, but known to the last digit.
std::string truth(const Game& g) {
    return finding(*g.circuit, {g.hidden.part, g.hidden.kind, g.hidden.size, g.hidden.size, g.hidden.size});
}

std::string verdict(const Game& g, const Score& s) {
    if (s.named.part == none) return "You gave up. ";
    const std::string named = said(g.circuit->parts[static_cast<std::size_t>(s.named.part)]);
    if (!s.right_part) return fmt::format("You named the {}: that is not it. ", named);
    if (!s.right_kind) return "You named the right part, and took its fault for another. ";
    return "You named the right part. ";
}

/// What the readings had made of the part that was named.
std::string certainty(const Score& s) {
    if (s.named.part == none) return "";
    if (s.sure >= 0.9) return fmt::format(" Your readings had made it {} sure.", percent(s.sure));
    return fmt::format(" Your readings had made it only {} sure: {}.", percent(s.sure),
                       s.right_part ? "good fortune helped" : "more readings would have told");
}

/// Why that fault does what it does, on the load that was complained of; nothing where that can't be told.
std::vector<std::string> lesson_of(const Game& g) {
    StandWish wish;
    const Complaint& c = g.complaints.front();
    if (is_load(g.circuit->parts[static_cast<std::size_t>(c.load)].law)) wish = {c.load, c.state};
    auto stand = put_on_stand(*g.circuit, wish);
    if (!stand) stand = put_on_stand(*g.circuit);
    if (!stand) return {};
    Workspace work;
    const Signature healthy = signature_of(*stand, "healthy", {}, work);
    return why(*stand, healthy, signature_of(*stand, "hidden", {g.hidden}, work));
}

Json json_of(const Game& g, const Play& play) {
    Json list = Json::array();
    for (const Taken& t : play.taken) {
        const Prospect& p = t.asked;
        Json json = json_of(
            *g.circuit,
            NextReading{p.state, p.quantity, p.red, p.black, p.through, t.bits, t.minutes, {}, p.meter},
            play.job.meters);
        json.erase("outcomes");
        const bool word = t.open || !words_of(p.quantity).empty();
        json["value"] = word ? Json() : Json(t.value);
        if (word) json["told"] = shown(t);
        json["again"] = t.again;
        json["truth_before"] = t.truth_before;
        json["truth_after"] = t.truth_after;
        list.push_back(std::move(json));
    }
    return list;
}

} // namespace

std::string complaint_text(const Game& g, int columns) {
    std::string text;
    for (const Complaint& c : g.complaints)
        text += wrapped(fmt::format("In state \"{}\": {}: {}.", state_name(g, c.state), part_name(g, c.load),
                                    c.words),
                        columns, 2, 4) +
                '\n';
    return text;
}

std::string opening_text(const Game& g, int columns) {
    const Circuit& c = *g.circuit;
    return strong(c.name.empty() ? c.file : c.name) + '\n' +
           wrapped(fmt::format("Seed {}. One fault is hidden in this machine. The complaint:", g.seed),
                   columns) +
           '\n' + complaint_text(g, columns) +
           wrapped("Ask for readings; each takes the minutes of its points. Name the part when you are sure. "
                   "\"help\" says how.",
                   columns) +
           '\n';
}

std::string practice_help(int columns) {
    Table table;
    table.columns = {{"", false, true, 0}, {"", false, true, 0}};
    table.add({"volts RED to BLACK in STATE", "a voltage; without BLACK, against ground"});
    table.add({"volts across PART in STATE", "from one end of a part to the other"});
    table.add({"amps PART in STATE", "the clamp round a part"});
    table.add({"speed PART in STATE", "of a motor"});
    table.add({"lamp RED to BLACK in STATE", "a test lamp: lit, dim or dark; also across PART"});
    table.add({"ohms RED to BLACK in STATE", "as the state is, but with every source off; also across PART"});
    table.add({"listen PART in STATE", "does a motor run, does a relay click"});
    table.add({"part PART", "names the bad part and ends the game; what is wrong with it may follow: part "
                            "pump ground high resistance"});
    table.add({"points, states, parts", "what there is, and the minutes that points take"});
    table.add({"log, complaint", "your readings so far; the complaint again"});
    table.add({"quit", "gives up, and tells what it was"});
    return draw(table, columns) +
           wrapped("Without a state the last one stays. Names may be shortened as long as only one fits.",
                   columns, 2, 2) +
           '\n';
}

std::string points_text(const Circuit& c, int columns) {
    std::vector<std::size_t> order(c.points.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return c.points[a].access < c.points[b].access; });
    Table table;
    table.columns = {{"point", false, true, 0}, {"to get at", true, false, 0}, {"", false, true, 1}};
    for (const std::size_t p : order)
        table.add({c.points[p].name, minutes_text(si(c.points[p].access) / 60), c.points[p].note});
    return draw(table, columns);
}

std::string states_text(const Circuit& c, int columns) {
    Table table;
    table.columns = {{"state", false, true, 0}, {"", false, true, 0}};
    const auto names = [&](std::string_view what, const std::vector<PartId>& parts) {
        std::string text;
        for (const PartId p : parts)
            text += fmt::format("{}{}", text.empty() ? "" : ", ", c.parts[static_cast<std::size_t>(p)].name);
        return text.empty() ? text : fmt::format("{} {}; ", text, what);
    };
    for (const State& s : c.states) {
        std::string text = names("closed", s.closed) + names("held still", s.locked) +
                           names("bridged", s.bridged) + names("taken out", s.removed);
        if (text.size() >= 2) text.resize(text.size() - 2);
        table.add({s.name, text.empty() ? "everything open" : text});
    }
    return draw(table, columns);
}

std::string parts_text(const Circuit& c, int columns) {
    Table table;
    table.columns = {{"part", false, true, 0},
                     {"kind", false, false, 1},
                     {"from", false, true, 0},
                     {"to", false, true, 0}};
    for (const Part& p : c.parts)
        table.add({p.name, std::string(kind_of(p.law)), point_name(c, p.from), point_name(c, p.to)});
    return draw(table, columns);
}

std::string taken_text(const Game& g, const Taken& t, int columns) {
    return wrapped(fmt::format("{}: {}. {}{}, {} in all.", read_where(g, t), strong(shown(t)),
                               t.again ? "Read before; " : "", minutes_text(t.minutes),
                               minutes_text(g.student.minutes)),
                   columns, 2, 4) +
           '\n';
}

std::string log_text(const Game& g, int columns) {
    if (g.student.taken.empty()) return "  no readings yet\n";
    Table table;
    table.columns = {{"", true, false, 0}, {"reading", false, true, 0}, {"shown", true, false, 0}};
    for (std::size_t k = 0; k < g.student.taken.size(); ++k)
        table.add({std::to_string(k + 1), read_where(g, g.student.taken[k]), shown(g.student.taken[k])});
    return draw(table, columns);
}

std::string closing_text(const Game& g, const Score& s, int columns) {
    std::string text = '\n' + wrapped(verdict(g, s) + truth(g), columns) + '\n';
    text += wrapped(fmt::format("{} with {}; the program, {}. Marks: {}.{}",
                                s.right_part ? "Found" : "Not found", readings_in(g.student),
                                readings_in(g.own), fmt::format("{:.0f} %", 100 * s.marks), certainty(s)),
                    columns) +
            '\n';
    if (!g.student.taken.empty())
        text += '\n' + strong("What your readings told") + '\n' + play_table(g, g.student, columns);
    text += '\n' + strong("What the program would have done") + '\n' + play_table(g, g.own, columns);
    text += wrapped("\"right part\": how sure the readings up to there make the part that it was.", columns,
                    2, 2) +
            '\n';
    std::string sentences;
    for (const std::string& sentence : lesson_of(g)) sentences += (sentences.empty() ? "" : " ") + sentence;
    if (!sentences.empty()) text += '\n' + strong("Why") + '\n' + wrapped(sentences, columns, 2, 2) + '\n';
    return text + cautions_text(*g.circuit, columns);
}

Json json_of(const Game& g, const Score& s) {
    Json complaints = Json::array();
    for (const Complaint& c : g.complaints)
        complaints.push_back(
            {{"state", state_name(g, c.state)}, {"part", part_name(g, c.load)}, {"looks", c.words}});
    return {{"circuit", g.circuit->name},
            {"seed", g.seed},
            {"complaints", std::move(complaints)},
            {"readings", json_of(g, g.student)},
            {"minutes", g.student.minutes},
            {"plan", {{"readings", json_of(g, g.own)}, {"minutes", g.own.minutes}}},
            {"named", s.named.part == none
                          ? Json()
                          : Json{{"part", part_name(g, s.named.part)},
                                 {"kind", s.named.kind ? Json(name_of(*s.named.kind)) : Json()}}},
            {"hidden", json_of(*g.circuit, g.hidden)},
            {"right", s.right_part},
            {"found", s.found},
            {"economy", s.economy},
            {"marks", s.marks},
            {"sure", s.sure},
            {"why", lesson_of(g)},
            {"cautions", cautions(*g.circuit)}};
}

} // namespace lostvolts

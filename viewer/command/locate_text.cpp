#include "viewer/command/locate_text.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "viewer/command/cautions_text.h"
#include "viewer/command/plan_text.h"
#include "viewer/command/predict_text.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"
#include "viewer/command/verdict_text.h"
#include "viewer/figures/foretold.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

constexpr std::size_t most_suspects = 8;
constexpr std::size_t most_next = 3;
constexpr std::size_t most_outcomes = 5;
constexpr int narrow = 60;            // columns; below it a reading is a paragraph, not a row
constexpr double worth_a_line = 0.01; // of probability

std::string sigmas(double deviation) {
    if (!std::isfinite(deviation)) return {};
    return std::abs(deviation) < 0.05 ? "0.0" : fmt::format("{:+.1f}", deviation);
}

struct Text {
    const Readings& readings;
    const Location& location;
    int columns;
    std::string out{};

    const Circuit& circuit() const { return readings.circuit; }
    const Suspect& suspect(int s) const { return location.suspects[static_cast<std::size_t>(s)]; }
    const std::string& state_name(int s) const { return circuit().states[static_cast<std::size_t>(s)].name; }

    void paragraph(const std::string& words, int first = 0, int rest = 0) {
        out += wrapped(words, columns, first, rest) + '\n';
    }
    void heading(std::string_view words) { out += '\n' + strong(words) + '\n'; }

    std::string in_state(const Reading& r) const {
        return fmt::format("{}: {}", state_name(r.state),
                           what_is_read(circuit(), r.quantity, r.red, r.black, r.through));
    }

    void suspects();
    void kinds_explained();
    void checks();
    void next();
    void repaired();
};

void Text::suspects() {
    heading("Suspects");
    Table table;
    table.columns = {{"", true, false, 0},
                     {"sure", true, false, 0},
                     {"what", false, true, 0},
                     {"size", true, false, 0},
                     {"90 % between", false, false, 1}};
    double rest = 0, unseen = 0;
    int untold = 0, not_looked_at = 0;
    for (std::size_t k = 0; k < location.suspects.size(); ++k) {
        const Suspect& s = location.suspects[k];
        if (s.unseen && k > 0) {
            unseen += s.probability;
            ++not_looked_at;
            continue;
        }
        if (k >= most_suspects || (k > 0 && s.probability < worth_a_line)) {
            rest += s.probability;
            ++untold;
            continue;
        }
        std::string size, between;
        for (const FoundFault& f : s.faults) { // of two, each in its order
            const std::string one = size_text(f.kind, f.value);
            if (one.empty()) continue;
            size += (size.empty() ? "" : "; ") + one;
            between += fmt::format("{}{} and {}", between.empty() ? "" : "; ", size_text(f.kind, f.low),
                                   size_text(f.kind, f.high));
        }
        table.add({std::to_string(k + 1), percent(s.probability), suspect_name(circuit(), s), size, between});
    }
    out += draw(table, columns);
    if (not_looked_at > 0 && unseen >= worth_a_line)
        paragraph(fmt::format("{} faults that would change none of these readings, together {}",
                              not_looked_at, percent(unseen)),
                  2, 2);
    if (untold > 0) paragraph(fmt::format("{} more, together {}", untold, percent(rest)), 2, 2);
    if (location.too_many_for_pairs)
        paragraph(
            "Only single faults were weighed: with so many parts, pairs of them are too many. Two faults at "
            "once may show as one that fits badly, or as something not modelled.",
            2, 2);
}

void Text::kinds_explained() {
    std::set<FaultKind> told;
    for (std::size_t k = 0; k < std::min(location.suspects.size(), most_suspects); ++k) {
        if (k > 0 && location.suspects[k].probability < worth_a_line) break;
        for (const FoundFault& f : location.suspects[k].faults)
            if (told.insert(f.kind).second)
                paragraph(fmt::format("{}: {}.", name_of(f.kind), explanation(f.kind)), 2, 4);
    }
}

void Text::checks() {
    if (location.readings.empty() || location.suspects.empty()) return;
    heading("Your readings, if suspect 1 is right");
    Table table;
    table.columns = {{"", true, false, 0},         {"reading", false, true, 0}, {"measured", true, false, 0},
                     {"expected", true, false, 0}, {"", false, true, 0},        {"sigma", true, false, 3}};
    for (const ReadingCheck& check : location.readings) {
        const Reading& r = readings.readings[static_cast<std::size_t>(check.index)];
        std::string word(fit_word(check));
        if (check.suspect_reading)
            word = alarm("looks wrong" + (check.likely.empty() ? "" : ": " + check.likely));
        const std::string expected = expected_text(r, check);
        if (columns < narrow)
            paragraph(fmt::format("{}. {}: {}; expected {}: {}", check.index + 1, in_state(r), as_read(r),
                                  expected, word),
                      2, 5);
        else
            table.add({std::to_string(check.index + 1), in_state(r), as_read(r), expected, word,
                       check.told ? "" : sigmas(check.deviation)});
    }
    out += draw(table, columns);
    if (location.zero_amps != 0)
        paragraph(
            fmt::format("The clamp's zero looks forgotten: every current reads {} too {}. Set it to nothing "
                        "away from the wire and read again.",
                        value_text(Measurand::current, std::abs(location.zero_amps)),
                        location.zero_amps > 0 ? "high" : "low"),
            2, 2);
}

void Text::next() {
    if (location.next.empty()) return;
    heading("Measure next");
    if (!location.plan.steps.empty()) {
        out += plan_text(readings, location, columns);
        for (std::size_t k = 1; k < std::min(location.next.size(), most_next); ++k)
            paragraph(fmt::format(
                          "Instead of 1: state {}: {}. About {:.0f} min.", state_name(location.next[k].state),
                          what_to_read(readings, location.next[k]), std::max(location.next[k].minutes, 1.0)),
                      2, 5);
        return;
    }
    for (std::size_t k = 0; k < std::min(location.next.size(), most_next); ++k) {
        const NextReading& n = location.next[k];
        paragraph(fmt::format("{}. state {}: {}. About {:.0f} min.", k + 1, state_name(n.state),
                              what_to_read(readings, n), std::max(n.minutes, 1.0)),
                  2, 5);
        Table table;
        table.columns = {{"", true, false, 0}, {"", false, true, 0}, {"", false, false, 1}};
        const std::vector<Foretold> rows = foretold_by(location, n);
        for (std::size_t r = 0; r < std::min(rows.size(), most_outcomes); ++r) {
            const Outcome& o = rows[r].outcome;
            const std::string expect = expect_text(n.quantity, o), likely = likely_text(n.quantity, o);
            table.add({expect, fmt::format("if {}", any_of_them(circuit(), location, rows[r].suspects)),
                       expect == likely ? "" : fmt::format("({})", likely)});
        }
        if (rows.size() > most_outcomes)
            table.add(
                {"",
                 fmt::format("or another value, if one of {} less likely ones", rows.size() - most_outcomes),
                 ""});
        out += draw(table, columns, 5);
    }
}

void Text::repaired() {
    const Verdict v = location.verdict;
    if (location.repaired.empty() || v == Verdict::healthy || v == Verdict::contradictory) return;
    if (location.readings.empty()) return;
    heading("After the repair it should read");
    Table table;
    table.columns = {{"", true, false, 0},
                     {"reading", false, true, 0},
                     {"was", true, false, 0},
                     {"should be", true, false, 0}};
    std::set<int> states;
    for (const ReadingCheck& check : location.readings) {
        const Reading& r = readings.readings[static_cast<std::size_t>(check.index)];
        states.insert(r.state);
        const std::string should = repaired_text(r, check);
        if (columns < narrow)
            paragraph(
                fmt::format("{}. {}: {}; was {}", check.index + 1, in_state(r), strong(should), as_read(r)),
                2, 5);
        else
            table.add({std::to_string(check.index + 1), in_state(r), as_read(r), should});
    }
    out += draw(table, columns);
    for (const StatePrediction& s : location.repaired)
        if (states.contains(s.state) && circuit().states[static_cast<std::size_t>(s.state)].locked.empty())
            for (const std::string& line : load_lines(circuit(), s))
                paragraph(fmt::format("{}: {}", state_name(s.state), line), 2, 4);
}

} // namespace

std::string locate_text(const Readings& readings, const Location& location, int columns) {
    Text text{readings, location, columns};
    const Circuit& c = readings.circuit;
    text.out = strong(c.name.empty() ? c.file : c.name) + '\n';
    text.paragraph(verdict_text(readings, location));
    text.suspects();
    text.kinds_explained();
    text.checks();
    text.next();
    text.repaired();
    return text.out + cautions_text(c, columns);
}

} // namespace lostvolts

#include "viewer/command/locate_text.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "viewer/command/cautions.h"
#include "viewer/command/predict_text.h"
#include "viewer/command/style.h"
#include "viewer/command/table.h"
#include "viewer/command/words.h"

namespace lostvolts {
namespace {

constexpr std::size_t most_suspects = 8;
constexpr std::size_t most_next = 3;
constexpr std::size_t most_outcomes = 5;
constexpr std::size_t most_named = 4; // parts in one line
constexpr double worth_a_line = 0.01; // of probability
constexpr double hardly = 0.002;      // of probability, where the line is there for a likelier suspect

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

std::string what_was_read(const Circuit& c, const Reading& r) {
    return what_is_read(c, r.quantity, r.red, r.black, r.through);
}

/// With as many decimals as the meter gave.
std::string like_reading(const Reading& r, double value) {
    const bool plain = r.quantity == Measurand::voltage || r.quantity == Measurand::current;
    if (!plain || !(r.resolution > 1e-6 && r.resolution < 1)) return value_text(r.quantity, value);
    const int decimals = static_cast<int>(std::ceil(-std::log10(r.resolution) - 1e-9));
    return fixed(value, decimals, r.quantity == Measurand::voltage ? "V" : "A");
}

std::string as_read(const Reading& r) { return r.text.empty() ? value_text(r.quantity, r.value) : r.text; }

/// The suspects that a narrowed verdict speaks of: those the readings can't tell from the first, or else
/// those that make up nine tenths together.
std::vector<int> narrowed_to(const Location& l) {
    std::set<int> members{0};
    members.insert(l.group.begin(), l.group.end());
    if (members.size() == 1) {
        double together = l.suspects[0].probability;
        for (int s = 1; s < static_cast<int>(l.suspects.size()) && together < 0.9; ++s) {
            members.insert(s);
            together += l.suspects[static_cast<std::size_t>(s)].probability;
        }
    }
    return {members.begin(), members.end()};
}

/// Whether none of them is more than twice as probable as another.
bool alike(const Location& l, const std::vector<int>& suspects) {
    double least = 1, most = 0;
    for (const int s : suspects) {
        least = std::min(least, l.suspects[static_cast<std::size_t>(s)].probability);
        most = std::max(most, l.suspects[static_cast<std::size_t>(s)].probability);
    }
    return most <= 2 * least;
}

/// Of a suspect's part, all the ways it may have failed.
double on_the_part_of(const Location& l, const Suspect& suspect) {
    if (suspect.faults.size() != 1) return suspect.probability;
    double total = 0;
    for (const Suspect& s : l.suspects)
        if (s.faults.size() == 1 && s.faults[0].part == suspect.faults[0].part) total += s.probability;
    return total;
}

std::string number_word(std::size_t n) {
    static constexpr std::array<std::string_view, 7> words = {"No",   "One",  "Two", "Three",
                                                              "Four", "Five", "Six"};
    return n < words.size() ? std::string(words[n]) : std::to_string(n);
}

std::string list_of(const Circuit& c, const Location& l, const std::vector<int>& suspects) {
    constexpr std::size_t most = 4;
    std::string text;
    for (std::size_t k = 0; k < std::min(suspects.size(), most); ++k) {
        const Suspect& s = l.suspects[static_cast<std::size_t>(suspects[k])];
        text += fmt::format("{}{} ({})", k == 0 ? "" : "; ", suspect_name(c, s), percent(s.probability));
    }
    if (suspects.size() > most) text += fmt::format("; and {} more", suspects.size() - most);
    return text;
}

std::string doubted_readings(const Readings& r, const Location& l) {
    std::string text;
    for (const ReadingCheck& check : l.readings) {
        if (!check.suspect_reading) continue;
        const Reading& reading = r.readings[static_cast<std::size_t>(check.index)];
        text += fmt::format(" Take reading {} ({}) again: it looks wrong{}.", check.index + 1,
                            what_was_read(r.circuit, reading),
                            check.likely.empty() ? "" : " (" + check.likely + ")");
    }
    return text;
}

/// How far off a reading is, in words: the number of its own standard deviations needs no statistics to read.
std::string fit_word(double deviation) {
    const double d = std::abs(deviation);
    return d < 2 ? "fits" : d < 3 ? "a little off" : "far off";
}

void Text::suspects() {
    heading("Suspects");
    Table table;
    table.columns = {{"", true, false, 0},     {"sure", true, false, 0},          {"what", false, true, 0},
                     {"size", true, false, 0}, {"90 % between", false, false, 1}, {"misfit", true, false, 3}};
    double rest = 0;
    int untold = 0;
    for (std::size_t k = 0; k < location.suspects.size(); ++k) {
        const Suspect& s = location.suspects[k];
        if (k >= most_suspects || (k > 0 && s.probability < worth_a_line)) {
            rest += s.probability;
            ++untold;
            continue;
        }
        std::string size, between;
        if (s.faults.size() == 1) {
            const FoundFault& f = s.faults[0];
            size = size_text(f.kind, f.value);
            if (!size.empty()) between = size_text(f.kind, f.low) + " and " + size_text(f.kind, f.high);
        }
        table.add({std::to_string(k + 1), percent(s.probability), suspect_name(circuit(), s), size, between,
                   std::isfinite(s.misfit) && !s.unmodelled ? fmt::format("{:.1f}", s.misfit) : ""});
    }
    out += draw(table, columns);
    if (untold > 0) paragraph(fmt::format("{} more, together {}", untold, percent(rest)), 2, 2);
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
        std::string word = fit_word(check.deviation);
        if (check.suspect_reading)
            word = alarm("looks wrong" + (check.likely.empty() ? "" : ": " + check.likely));
        table.add({std::to_string(check.index + 1), in_state(r), as_read(r), like_reading(r, check.expected),
                   word, std::isfinite(check.deviation) ? fmt::format("{:+.1f}", check.deviation) : ""});
    }
    out += draw(table, columns);
}

/// What several suspects foretell alike.
struct Foretold {
    std::string value, span;
    std::vector<int> suspects;
};

std::vector<Foretold> foretold_by(const Location& l, const NextReading& n) {
    std::vector<Foretold> rows;
    for (const Outcome& o : n.outcomes) {
        if (l.suspects[static_cast<std::size_t>(o.suspect)].probability < hardly) continue;
        Foretold row{value_text(n.quantity, o.expect),
                     o.low == o.high ? "" : fmt::format("({})", span_text(n.quantity, o.low, o.high)),
                     {o.suspect}};
        const auto same = std::find_if(rows.begin(), rows.end(), [&](const Foretold& r) {
            return r.value == row.value && r.span == row.span;
        });
        if (same == rows.end())
            rows.push_back(std::move(row));
        else
            same->suspects.push_back(o.suspect);
    }
    return rows;
}

/// "trailer ground splice or white wire: high resistance; nothing wrong": each kind of fault named once.
std::string any_of_them(const Circuit& c, const Location& l, const std::vector<int>& suspects) {
    std::vector<std::pair<std::string, std::vector<std::string>>> by_kind;
    for (const int k : suspects) {
        const Suspect& s = l.suspects[static_cast<std::size_t>(k)];
        const bool single = s.faults.size() == 1;
        const std::string kind = single ? std::string(name_of(s.faults[0].kind)) : suspect_name(c, s);
        auto at =
            std::find_if(by_kind.begin(), by_kind.end(), [&](const auto& g) { return g.first == kind; });
        if (at == by_kind.end()) at = by_kind.insert(by_kind.end(), {kind, {}});
        if (single) at->second.push_back(c.parts[static_cast<std::size_t>(s.faults[0].part)].name);
    }
    std::string text;
    for (const auto& [kind, parts] : by_kind) {
        if (!text.empty()) text += "; ";
        for (std::size_t k = 0; k < std::min(parts.size(), most_named); ++k)
            text += (k == 0 ? "" : " or ") + parts[k];
        if (parts.size() > most_named) text += fmt::format(" or {} more", parts.size() - most_named);
        text += (parts.empty() ? "" : ": ") + kind;
    }
    return text;
}

void Text::next() {
    if (location.next.empty()) return;
    heading("Measure next");
    for (std::size_t k = 0; k < std::min(location.next.size(), most_next); ++k) {
        const NextReading& n = location.next[k];
        paragraph(fmt::format("{}. state {}: {}. About {:.0f} min.", k + 1, state_name(n.state),
                              what_is_read(circuit(), n.quantity, n.red, n.black, n.through),
                              std::max(n.minutes, 1.0)),
                  2, 5);
        Table table;
        table.columns = {{"", true, false, 0}, {"", false, true, 0}, {"", false, false, 1}};
        for (const Foretold& row : foretold_by(location, n)) {
            if (table.rows.size() == most_outcomes) break;
            table.add(
                {row.value, fmt::format("if {}", any_of_them(circuit(), location, row.suspects)), row.span});
        }
        out += draw(table, columns, 5);
    }
}

void Text::repaired() {
    const Verdict v = location.verdict;
    if (location.repaired.empty() || v == Verdict::healthy || v == Verdict::contradictory) return;
    heading("After the repair it should read");
    Table table;
    table.columns = {{"", true, false, 0},

                     {"reading", false, true, 0},
                     {"was", true, false, 0},
                     {"should be", true, false, 0}};
    std::set<int> states;
    for (std::size_t k = 0; k < readings.readings.size(); ++k) {
        const Reading& r = readings.readings[k];
        for (const StatePrediction& s : location.repaired) {
            if (s.state != r.state) continue;
            const auto value = predicted_value(s, r);
            if (!value) continue;
            states.insert(s.state);
            table.add({std::to_string(k + 1), in_state(r), as_read(r), like_reading(r, *value)});
        }
    }
    out += draw(table, columns);
    for (const StatePrediction& s : location.repaired)
        if (states.contains(s.state) && circuit().states[static_cast<std::size_t>(s.state)].locked.empty())
            for (const std::string& line : load_lines(circuit(), s, loads_off(s)))
                paragraph(fmt::format("{}: {}", state_name(s.state), line), 2, 4);
}

} // namespace

std::optional<double> predicted_value(const StatePrediction& s, const Reading& r) {
    const auto at = [&](PointId p) {
        return p == none ? std::nullopt : s.points[static_cast<std::size_t>(p)];
    };
    if (r.quantity == Measurand::voltage) {
        const auto red = at(r.red), black = at(r.black);
        if (!red || !black) return std::nullopt;
        return si(*red - *black);
    }
    if (r.quantity == Measurand::current && r.through != none)
        return si(s.parts[static_cast<std::size_t>(r.through)].current);
    if (r.quantity == Measurand::speed)
        for (const MotorResult& m : s.motors)
            if (m.part == r.through) return si(m.speed);
    return std::nullopt;
}

std::string verdict_text(const Readings& readings, const Location& l) {
    const Circuit& c = readings.circuit;
    if (l.suspects.empty()) return "There is nothing to judge by.";
    const Suspect& first = l.suspects.front();
    std::string text;
    switch (l.verdict) {
    case Verdict::healthy:
        text =
            fmt::format("Nothing is wrong with this circuit as far as these readings tell. Probability {}.",
                        percent(first.probability));
        break;
    case Verdict::located:
        for (const FoundFault& f : first.faults) text += finding(c, f) + ' ';
        text += fmt::format("Probability {}", percent(first.probability));
        if (const double part = on_the_part_of(l, first); part > first.probability + worth_a_line)
            text += fmt::format("; that it is this part in one way or another, {}", percent(part));
        text += '.';
        break;
    case Verdict::narrowed: {
        const std::vector<int> left = narrowed_to(l);
        if (first.faults.empty() && !first.unmodelled && left.size() > 1)
            text = fmt::format("These readings show no fault and rule out few. Nothing wrong: {}; else: {}.",
                               percent(first.probability),
                               list_of(c, l, std::vector<int>(left.begin() + 1, left.end())));
        else if (left.size() == 1)
            text = fmt::format("These readings point to one suspect, but do not settle it: {}.",
                               list_of(c, l, left));
        else
            text = fmt::format("{} suspects {}: {}.", number_word(left.size()),
                               alike(l, left) ? "fit these readings about equally well"
                                              : "are left by these readings",
                               list_of(c, l, left));
        if (!l.next.empty()) {
            const NextReading& n = l.next.front();
            text += fmt::format(" Measure next, in state {}: {}.",
                                c.states[static_cast<std::size_t>(n.state)].name,
                                what_is_read(c, n.quantity, n.red, n.black, n.through));
        } else if (left.size() > 1) {
            text += " No reading within reach would tell more.";
        }
        break;
    }
    case Verdict::contradictory:
        text = "These readings contradict one another or this drawing: no single fault explains them.";
        if (!first.faults.empty() || first.unmodelled)
            text += fmt::format(" The nearest: {} ({}).", suspect_name(c, first), percent(first.probability));
        break;
    }
    return text + doubted_readings(readings, l);
}

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
    text.heading("Before you touch the machine");
    for (const std::string& caution : cautions(c)) text.paragraph("- " + caution, 2, 4);
    return text.out;
}

} // namespace lostvolts

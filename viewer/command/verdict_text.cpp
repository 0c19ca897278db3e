#include "viewer/command/verdict_text.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

constexpr double worth_telling = 0.01; // of probability

std::string what_was_read(const Circuit& c, const Reading& r) {
    return what_is_read(c, r.quantity, r.red, r.black, r.through);
}

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
        if (std::any_of(s.faults.begin(), s.faults.end(),
                        [&](const FoundFault& f) { return f.part == suspect.faults[0].part; }))
            total += s.probability;
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

/// Which readings don't go with the nearest explanation, apart from those told to be taken again.
std::string clashing_readings(const Readings& r, const Location& l) {
    constexpr double far = 3; // standard deviations
    std::string text;
    for (const ReadingCheck& check : l.readings) {
        if (check.suspect_reading || !(check.clashes || std::abs(check.deviation) > far)) continue;
        const Reading& reading = r.readings[static_cast<std::size_t>(check.index)];
        text += fmt::format("{} {} ({})", text.empty() ? " Out of line with the rest: reading" : ",",
                            check.index + 1, what_was_read(r.circuit, reading));
    }
    return text.empty() ? text : text + ".";
}

} // namespace

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
        if (const double part = on_the_part_of(l, first); part > first.probability + worth_telling)
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
                               alike(l, left) ? "read alike here" : "are left by these readings",
                               list_of(c, l, left));
        if (!l.next.empty()) {
            const NextReading& n = l.next.front();
            text += fmt::format(" {}, in state {}: {}.",
                                left.size() > 1 ? "To tell them apart, measure" : "Measure next",
                                c.states[static_cast<std::size_t>(n.state)].name, what_to_read(readings, n));
        } else if (left.size() > 1) {
            text += " No reading within reach would tell more.";
        }
        break;
    }
    case Verdict::contradictory:
        text = "These readings contradict one another or this drawing: neither one fault nor two explain "
               "them.";
        if (!first.faults.empty() || first.unmodelled)
            text += fmt::format(" The nearest: {} ({}).", suspect_name(c, first), percent(first.probability));
        text += clashing_readings(readings, l);
        break;
    }
    return text + doubted_readings(readings, l);
}

} // namespace lostvolts

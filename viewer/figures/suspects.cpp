#include "viewer/figures/suspects.h"

#include <algorithm>

#include <fmt/format.h>

#include "viewer/figures/shapes.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

constexpr double edge = 14, row_height = 36, bar_left = 66, bar_height = 9, head = 62;
constexpr std::size_t most_rows = 9;
constexpr double worth_a_row = 0.005;

std::string size_words(const Suspect& s) {
    std::string text;
    for (const FoundFault& f : s.faults)
        if (const std::string size = size_with_interval(f); !size.empty())
            text += (text.empty() ? "" : " and ") + size;
    return text;
}

std::string headline(const Circuit& c, const Location& l) {
    switch (l.verdict) {
    case Verdict::healthy:
        return "Nothing is wrong that these readings can see.";
    case Verdict::located:
        return "Found: " + suspect_name(c, l.suspects.front()) + ".";
    case Verdict::narrowed:
        return l.group.empty() ? "Not decided yet."
                               : "Not decided: these readings can't tell the likeliest apart.";
    case Verdict::contradictory:
        return "The readings contradict one another: take them again.";
    }
    return {};
}

} // namespace

Figure suspects_figure(const Circuit& c, const Location& l, double width) {
    Figure f;
    f.width = width;
    f.title = (c.name.empty() ? c.file : c.name) + ": suspects";
    f.says = headline(c, l);
    add_head(f);
    const double full = width - bar_left - edge;
    double y = head, rest = 0;
    std::size_t shown = 0;
    const auto add_row = [&](const std::string& name, const std::string& more, double p, Ink ink, PartId part,
                             bool bold) {
        f.shapes.push_back(words({bar_left - 8, y + 13}, percent(p), 12, Ink::text, Align::end, true));
        const std::string text = fitted(name, full - 4, 10.5, bold);
        f.shapes.push_back(words({bar_left, y + 11}, text, 10.5, Ink::text, Align::start, bold));
        if (const double after = bar_left + text_width(text, 10.5, bold) + 10;
            !more.empty() && width - edge - after > 40)
            f.shapes.push_back(
                words({after, y + 11}, fitted(more, width - edge - after, 9.5), 9.5, Ink::quiet));
        f.shapes.push_back(
            Fill{rectangle({bar_left, y + 16}, {bar_left + full, y + 16 + bar_height}), Ink::grid, 0.7});
        f.shapes.push_back(
            Fill{rectangle({bar_left, y + 16}, {bar_left + std::max(full * p, 1.0), y + 16 + bar_height}),
                 ink, 1});
        f.targets.push_back({{edge, y},
                             {width - edge, y + row_height},
                             none,
                             part,
                             name + ", " + percent(p) + (more.empty() ? "." : ", " + more + ".")});
        f.says += fmt::format(" {}: {}.", name, percent(p));
        y += row_height;
    };
    for (std::size_t k = 0; k < l.suspects.size(); ++k) {
        const Suspect& s = l.suspects[k];
        if (s.probability < worth_a_row || shown >= most_rows) {
            rest += s.probability;
            continue;
        }
        ++shown;
        const bool apart =
            k == 0 || std::find(l.group.begin(), l.group.end(), static_cast<int>(k)) != l.group.end();
        const Ink ink = s.unmodelled       ? Ink::limit
                        : s.faults.empty() ? Ink::good
                        : apart            ? Ink::suspect
                                           : Ink::limit;
        add_row(suspect_name(c, s), size_words(s), s.probability, ink,
                s.faults.empty() ? none : s.faults[0].part, k == 0);
    }
    if (rest > 0) add_row("everything else together", "", rest, Ink::limit, none, false);
    f.height = y + 6;
    return f;
}

} // namespace lostvolts

#include "viewer/figures/foretold.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

constexpr double hardly = 0.002;      // of probability: such a suspect gets no line of its own
constexpr std::size_t most_named = 4; // parts in one line

/// Whether a meter could hardly tell the two apart: middles and ends within a tenth of the interval, words as
/// likely within a tenth.
bool same_reading(const Outcome& a, const Outcome& b) {
    for (std::size_t k = 0; k < most_words; ++k)
        if (std::abs(a.says[k] - b.says[k]) > 0.1) return false;
    if (a.word()) return true;
    const double near = 0.1 * std::max({a.high - a.low, b.high - b.low, 1e-12});
    return std::abs(a.expect - b.expect) <= near && std::abs(a.low - b.low) <= near &&
           std::abs(a.high - b.high) <= near;
}

} // namespace

std::vector<Foretold> foretold_by(const Location& l, const NextReading& n) {
    std::vector<Foretold> rows;
    for (const Outcome& o : n.outcomes) {
        if (l.suspects[static_cast<std::size_t>(o.suspect)].probability < hardly) continue;
        const auto same = std::find_if(rows.begin(), rows.end(),
                                       [&](const Foretold& r) { return same_reading(r.outcome, o); });
        if (same == rows.end()) {
            rows.push_back({o, {o.suspect}});
            continue;
        }
        same->outcome.low = std::min(same->outcome.low, o.low);
        same->outcome.high = std::max(same->outcome.high, o.high);
        same->suspects.push_back(o.suspect);
    }
    return rows;
}

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

} // namespace lostvolts

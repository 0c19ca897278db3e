#include "solver/units/result.h"

#include <algorithm>

#include "solver/units/code_points.h"

namespace lostvolts {
namespace {

constexpr std::string_view excerpt_indent = "    ";
constexpr std::string_view write_indent = "  ";

/// The line as shown: no line end, and nothing that could move a terminal's cursor.
std::u32string shown_line(const std::string& excerpt) {
    std::u32string line = code_points(excerpt);
    while (!line.empty() && (line.back() == U'\n' || line.back() == U'\r')) line.pop_back();
    for (char32_t& c : line)
        if ((c < 0x20 && c != U'\t') || (c >= 0x7F && c < 0xA0)) c = U'\uFFFD';
    return line;
}

/// The blanks and carets under `line`. Tabs stay tabs, so both lines stop at the same places.
std::string carets(const std::u32string& line, const Place& place) {
    const std::size_t start = std::min(static_cast<std::size_t>(place.column - 1), line.size());
    std::string under;
    for (std::size_t i = 0; i < start; ++i) under += line[i] == U'\t' ? '\t' : ' ';
    const std::size_t left = std::max<std::size_t>(line.size() - start, 1);
    under.append(
        std::clamp<std::size_t>(place.width > 0 ? static_cast<std::size_t>(place.width) : 1, 1, left), '^');
    return under;
}

char32_t folded(char32_t c) { return c >= U'A' && c <= U'Z' ? c + 32 : c; }

/// Insertions, deletions, exchanges and swaps of neighbours that turn a into b.
std::size_t edit_distance(const std::u32string& a, const std::u32string& b, bool fold) {
    const auto same = [fold](char32_t x, char32_t y) { return fold ? folded(x) == folded(y) : x == y; };
    const std::size_t columns = b.size() + 1;
    std::vector<std::size_t> before(columns), last(columns), row(columns);
    for (std::size_t j = 0; j < columns; ++j) last[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        row[0] = i;
        for (std::size_t j = 1; j < columns; ++j) {
            row[j] =
                std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + (same(a[i - 1], b[j - 1]) ? 0 : 1)});
            if (i > 1 && j > 1 && same(a[i - 1], b[j - 2]) && same(a[i - 2], b[j - 1]))
                row[j] = std::min(row[j], before[j - 2] + 1);
        }
        std::swap(before, last);
        std::swap(last, row);
    }
    return last[b.size()];
}

} // namespace

std::string describe(const Problem& problem) {
    std::string text;
    if (!problem.file.empty()) text += problem.file + ":";
    if (problem.place.line > 0) {
        text += std::to_string(problem.place.line) + ":";
        if (problem.place.column > 0) text += std::to_string(problem.place.column) + ":";
    }
    if (!text.empty()) text += " ";
    text += problem.what;
    if (!problem.excerpt.empty()) {
        const std::u32string line = shown_line(problem.excerpt);
        text.append("\n").append(excerpt_indent).append(utf8(line));
        if (problem.place.column > 0)
            text.append("\n").append(excerpt_indent).append(carets(line, problem.place));
    }
    for (std::string_view rest = problem.write; !rest.empty();) {
        const std::size_t end = std::min(rest.find('\n'), rest.size());
        text.append("\n").append(write_indent).append(rest.substr(0, end));
        rest.remove_prefix(std::min(end + 1, rest.size()));
    }
    return text;
}

std::optional<std::string> nearest(std::string_view word, const std::vector<std::string>& known) {
    const std::u32string sought = code_points(word);
    const std::size_t limit = (sought.size() + 2) / 3;
    const std::string* best = nullptr;
    std::pair<std::size_t, std::size_t> best_distance{limit, 0};
    for (const std::string& candidate : known) {
        const std::u32string points = code_points(candidate);
        const std::size_t apart =
            points.size() > sought.size() ? points.size() - sought.size() : sought.size() - points.size();
        if (apart > limit) continue;
        const std::pair distance{edit_distance(sought, points, true), edit_distance(sought, points, false)};
        if (distance.first > limit || (best && distance >= best_distance)) continue;
        best = &candidate;
        best_distance = distance;
    }
    return best ? std::optional(*best) : std::nullopt;
}

} // namespace lostvolts

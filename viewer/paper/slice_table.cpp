#include "viewer/paper/slices.h"

#include <algorithm>
#include <numeric>

#include "viewer/figures/shapes.h"

namespace lostvolts {
namespace {

constexpr double size = 8.6, leading = 11.4, base = 8.8, above = 2.6, gap = 9;
constexpr double widest_part = 0.4;     // of the table, that a single word may ask for
constexpr std::size_t whole_lines = 24; // a row of more lines may be cut

struct Column {
    double left = 0, width = 0;
};

/// Each as wide as its longest cell where all fit, and what is over shared out; else at least as wide as its
/// longest word, and the rest by need.
std::vector<Column> columns_of(const DocumentTable& t, const Ruler& ruler, double width) {
    std::size_t count = t.headings.size();
    for (const auto& row : t.rows) count = std::max(count, row.size());
    std::vector<double> natural(count, 0), least(count, 0);
    const auto take = [&](std::size_t c, const std::string& text, bool bold) {
        natural[c] = std::max(natural[c], ruler.width(text, size, bold));
        least[c] = std::max(least[c], std::min(ruler.widest_word(text, size, bold), widest_part * width));
        if (t.is_number(c)) least[c] = std::max(least[c], std::min(natural[c], widest_part * width));
    };
    for (std::size_t c = 0; c < t.headings.size(); ++c) take(c, t.headings[c], true);
    for (std::size_t r = 0; r < t.rows.size(); ++r)
        for (std::size_t c = 0; c < t.rows[r].size(); ++c) take(c, t.rows[r][c], t.is_marked(r));
    const double room = width - gap * static_cast<double>(count > 0 ? count - 1 : 0);
    const auto sum = [](const std::vector<double>& v) { return std::accumulate(v.begin(), v.end(), 0.0); };
    std::vector<double> wide = natural;
    if (const double all = sum(natural), few = sum(least); all <= room) {
        std::vector<double> words = natural;
        for (std::size_t c = 0; c < count; ++c)
            if (t.is_number(c)) words[c] = 0; // numbers stay together
        const double shared = sum(words) > 0 ? (room - all) / sum(words) : 0;
        for (std::size_t c = 0; c < count; ++c) wide[c] += shared * words[c];
    } else if (few >= room) {
        for (std::size_t c = 0; c < count; ++c) wide[c] = least[c] * room / few;
    } else {
        for (std::size_t c = 0; c < count; ++c)
            wide[c] = least[c] + (natural[c] - least[c]) * (room - few) / (all - few);
    }
    std::vector<Column> columns(count);
    double left = 0;
    for (std::size_t c = 0; c < count; ++c) {
        columns[c] = {left, wide[c]};
        left += wide[c] + gap;
    }
    return columns;
}

/// A row as slices of a line each, a rule below the last.
std::vector<PageSlice> row_of(const DocumentTable& t, const std::vector<std::string>& cells, bool bold,
                              const Ruler& ruler, const std::vector<Column>& columns, double width,
                              const Stroke& rule) {
    std::vector<std::vector<std::string>> lines;
    std::size_t most = 1;
    for (std::size_t c = 0; c < cells.size(); ++c) {
        lines.push_back(ruler.lines(cells[c], columns[c].width + 0.01, size, bold));
        most = std::max(most, lines.back().size());
    }
    std::vector<PageSlice> row(most);
    for (std::size_t k = 0; k < most; ++k) {
        PageSlice& slice = row[k];
        const double top = k == 0 ? above : 0;
        slice.height = top + leading;
        slice.with_next = most <= whole_lines && k + 1 < most;
        for (std::size_t c = 0; c < cells.size(); ++c) {
            if (k >= lines[c].size() || lines[c][k].empty()) continue;
            const bool right = t.is_number(c);
            slice.shapes.push_back(words({columns[c].left + (right ? columns[c].width : 0), top + base},
                                         lines[c][k], size, Ink::text, right ? Align::end : Align::start,
                                         bold));
        }
    }
    row.back().height += above;
    Stroke line = rule;
    line.path = {{0, row.back().height}, {width, row.back().height}};
    row.back().shapes.push_back(line);
    return row;
}

} // namespace

void slice_table(const DocumentTable& t, const Ruler& ruler, double width, SlicedDocument& into) {
    const std::vector<Column> columns = columns_of(t, ruler, width);
    const bool named = std::any_of(t.headings.begin(), t.headings.end(),
                                   [](const std::string& heading) { return !heading.empty(); });
    std::vector<PageSlice> head;
    if (named) head = row_of(t, t.headings, true, ruler, columns, width, {{}, Ink::text, 0.9});
    for (PageSlice& slice : head) slice.with_next = true;
    const int table = static_cast<int>(into.table_heads.size());
    into.table_heads.push_back(head);
    const std::size_t first = into.slices.size();
    into.slices.insert(into.slices.end(), head.begin(), head.end());
    for (std::size_t r = 0; r < t.rows.size(); ++r) {
        std::vector<PageSlice> row =
            row_of(t, t.rows[r], t.is_marked(r), ruler, columns, width, {{}, Ink::grid, 0.7});
        for (PageSlice& slice : row) slice.table = table;
        // Neither the first row nor the last stands alone.
        if (t.rows.size() > 1 && (r == 0 || r + 2 == t.rows.size())) row.back().with_next = true;
        into.slices.insert(into.slices.end(), row.begin(), row.end());
    }
    if (into.slices.size() > first) into.slices[first].before = 6;
}

} // namespace lostvolts

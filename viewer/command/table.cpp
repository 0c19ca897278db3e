#include "viewer/command/table.h"

#include <algorithm>
#include <numeric>

#include "viewer/command/style.h"

namespace lostvolts {
namespace {

constexpr int gap = 2;
constexpr int least_wrapped = 12; // a wrapping column narrower than this is hard to read

const std::string& cell(const std::vector<std::string>& row, std::size_t column) {
    static const std::string nothing;
    return column < row.size() ? row[column] : nothing;
}

struct Layout {
    std::vector<std::size_t> shown;
    std::vector<int> widths; ///< per shown column

    int total() const {
        return std::accumulate(widths.begin(), widths.end(), 0) +
               gap * std::max(static_cast<int>(widths.size()) - 1, 0);
    }
};

std::vector<std::size_t> filled_columns(const Table& table) {
    std::vector<std::size_t> filled;
    for (std::size_t c = 0; c < table.columns.size(); ++c)
        if (std::any_of(table.rows.begin(), table.rows.end(),
                        [c](const auto& row) { return !cell(row, c).empty(); }))
            filled.push_back(c);
    return filled;
}

Layout natural(const Table& table, std::vector<std::size_t> shown) {
    Layout layout{std::move(shown), {}};
    for (const std::size_t c : layout.shown) {
        int width = width_of(table.columns[c].heading);
        for (const auto& row : table.rows) width = std::max(width, width_of(cell(row, c)));
        layout.widths.push_back(width);
    }
    return layout;
}

/// Takes columns from the widest wrapping one until the table fits or none is wider than `least`.
void squeeze(const Table& table, Layout& layout, int columns, int least) {
    while (layout.total() > columns) {
        int* widest = nullptr;
        for (std::size_t k = 0; k < layout.shown.size(); ++k)
            if (table.columns[layout.shown[k]].wraps && layout.widths[k] > least &&
                (!widest || layout.widths[k] > *widest))
                widest = &layout.widths[k];
        if (!widest) return;
        --*widest;
    }
}

/// Leaves out the last of the columns of the highest rank; false when there is none left to leave out.
bool leave_one_out(const Table& table, std::vector<std::size_t>& shown, std::vector<std::size_t>& left_out) {
    const auto rank = [&](std::size_t c) { return table.columns[c].rank; };
    auto least = shown.end();
    for (auto it = shown.begin(); it != shown.end(); ++it)
        if (rank(*it) > 0 && (least == shown.end() || rank(*it) >= rank(*least))) least = it;
    if (least == shown.end()) return false;
    left_out.push_back(*least);
    shown.erase(least);
    return true;
}

std::vector<std::string> lines_of(const std::string& text, int width) {
    std::vector<std::string> lines;
    const std::string broken = width_of(text) <= width ? text : wrapped(text, width);
    for (std::size_t start = 0; start <= broken.size();) {
        const std::size_t end = std::min(broken.find('\n', start), broken.size());
        lines.push_back(broken.substr(start, end - start));
        start = end + 1;
    }
    return lines;
}

void draw_row(const Table& table, const Layout& layout, const std::vector<std::string>& row, int indent,
              std::string& out) {
    std::vector<std::vector<std::string>> cells;
    std::size_t height = 1;
    for (std::size_t k = 0; k < layout.shown.size(); ++k) {
        cells.push_back(lines_of(cell(row, layout.shown[k]), layout.widths[k]));
        height = std::max(height, cells.back().size());
    }
    for (std::size_t l = 0; l < height; ++l) {
        std::string line(static_cast<std::size_t>(indent), ' ');
        for (std::size_t k = 0; k < cells.size(); ++k) {
            const std::string text = l < cells[k].size() ? cells[k][l] : "";
            const auto blank = static_cast<std::size_t>(std::max(layout.widths[k] - width_of(text), 0));
            if (k > 0) line.append(gap, ' ');
            if (table.columns[layout.shown[k]].right) line.append(blank, ' ');
            line += text;
            if (!table.columns[layout.shown[k]].right) line.append(blank, ' ');
        }
        line.erase(line.find_last_not_of(' ') + 1);
        out += line + '\n';
    }
}

} // namespace

std::string draw(const Table& table, int columns, int indent) {
    if (table.rows.empty()) return {};
    const int room = std::max(columns - indent, 1);
    std::vector<std::size_t> shown = filled_columns(table), left_out;
    Layout layout = natural(table, shown);
    squeeze(table, layout, room, least_wrapped);
    while (layout.total() > room && leave_one_out(table, shown, left_out)) {
        layout = natural(table, shown);
        squeeze(table, layout, room, least_wrapped);
    }
    squeeze(table, layout, room, 1);

    std::string out;
    std::vector<std::string> headings;
    bool headed = false;
    for (const Column& c : table.columns) {
        headings.push_back(faint(c.heading));
        headed = headed || !c.heading.empty();
    }
    if (headed) draw_row(table, layout, headings, indent, out);
    for (const auto& row : table.rows) draw_row(table, layout, row, indent, out);
    std::sort(left_out.begin(), left_out.end());
    std::string names;
    for (const std::size_t c : left_out)
        if (!table.columns[c].heading.empty())
            names += (names.empty() ? "" : ", ") + table.columns[c].heading;
    if (!names.empty()) out += faint(wrapped("(no room for: " + names + ")", columns, indent, indent)) + '\n';
    return out;
}

} // namespace lostvolts

#include "viewer/figures/table_figure.h"

#include <algorithm>

#include "viewer/figures/shapes.h"

namespace lostvolts {
namespace {

constexpr double edge = 14, type = 10.5, leading = 13.5, gap = 20, arrow_room = 13;

double widest_line(const std::vector<std::string>& lines, bool bold) {
    double most = 0;
    for (const std::string& line : lines) most = std::max(most, text_width(line, type, bold));
    return most;
}

std::vector<std::string> wrapped_heading(const std::string& text, double width) {
    return in_even_lines(text, width, type, 3, true);
}

/// Column widths: the cells', and headings wrapped to about that.
std::vector<double> widths_of(const TableView& v) {
    std::vector<double> widths(v.headings.size() + 1, 0);
    for (const FigureRow& r : v.rows) {
        widths[0] = std::max(widths[0], widest_line(in_even_lines(r.name, 200, type, 2, r.strong), r.strong));
        for (std::size_t k = 0; k < std::min(r.cells.size(), v.headings.size()); ++k)
            widths[k + 1] = std::max(widths[k + 1], text_width(r.cells[k].text, type, true) + arrow_room);
    }
    widths[0] = std::max(widths[0], text_width(v.names, type, true));
    for (std::size_t k = 0; k < v.headings.size(); ++k)
        widths[k + 1] = std::max(
            widths[k + 1], widest_line(wrapped_heading(v.headings[k], std::max(widths[k + 1], 84.0)), true));
    double sum = 2 * edge;
    for (const double w : widths) sum += w + gap;
    if (sum > v.widest) widths[0] = std::max(widths[0] - (sum - v.widest), 90.0);
    return widths;
}

} // namespace

Figure table_figure(const TableView& v) {
    Figure f;
    f.title = v.title;
    f.says = v.says;
    const std::vector<double> widths = widths_of(v);
    std::vector<double> right; // edge of each column
    double x = edge;
    for (const double w : widths) right.push_back(x += w), x += gap;
    f.width = std::max(x - gap + edge, text_width(v.title, 13, true) + 2 * edge);
    add_title(f);
    double y = 43;
    for (const std::string& line : in_lines(v.says, f.width - 2 * edge, 10, 3)) {
        f.shapes.push_back(words({edge, y}, line, 10));
        y += leading;
    }
    y += 10;

    std::vector<std::vector<std::string>> heads{wrapped_heading(v.names, widths[0])};
    for (std::size_t k = 0; k < v.headings.size(); ++k)
        heads.push_back(wrapped_heading(v.headings[k], widths[k + 1]));
    std::size_t tallest = 1;
    for (const auto& head : heads) tallest = std::max(tallest, head.size());
    for (std::size_t k = 0; k < heads.size(); ++k)
        for (std::size_t line = 0; line < heads[k].size(); ++line)
            f.shapes.push_back(words({k == 0 ? edge : right[k] - arrow_room,
                                      y + leading * static_cast<double>(tallest - heads[k].size() + line)},
                                     heads[k][line], type, Ink::quiet, k == 0 ? Align::start : Align::end,
                                     true));
    y += leading * static_cast<double>(tallest) - 6;
    const auto rule = [&](double at, Ink ink, double width) {
        f.shapes.push_back(Stroke{{{edge, at}, {f.width - edge, at}}, ink, width});
    };
    rule(y, Ink::quiet, 1.2);

    for (const FigureRow& row : v.rows) {
        const auto names = in_even_lines(row.name, widths[0] + 1, type, 2, row.strong);
        const double top = y,
                     height = leading * static_cast<double>(std::max<std::size_t>(names.size(), 1)) + 9;
        if (row.strong)
            f.shapes.push_back(Fill{rectangle({edge, y}, {f.width - edge, y + height}), Ink::grid, 0.5});
        for (std::size_t k = 0; k < names.size(); ++k)
            f.shapes.push_back(words({edge + 2, y + leading * static_cast<double>(k + 1)}, names[k], type,
                                     Ink::text, Align::start, row.strong));
        std::string told = row.name + ":";
        const double middle = y + height / 2 + 3.5;
        for (std::size_t k = 0; k < std::min(row.cells.size(), v.headings.size()); ++k) {
            const FigureCell& cell = row.cells[k];
            const bool off =
                cell.beside == FigureCell::Beside::higher || cell.beside == FigureCell::Beside::lower;
            const bool up = cell.beside == FigureCell::Beside::higher;
            f.shapes.push_back(words({right[k + 1] - arrow_room, middle}, cell.text, type,
                                     off ? Ink::bad : Ink::text, Align::end, off || row.strong));
            if (off) {
                const double ax = right[k + 1] - 5, a = middle - (up ? 8 : 0.5), b = middle - (up ? 0.5 : 8);
                f.shapes.push_back(Fill{{{ax, a}, {ax - 4, b}, {ax + 4, b}}, Ink::bad, 1});
            }
            told += " " + v.headings[k] + " " + cell.text + (off ? up ? ", higher;" : ", lower;" : ";");
        }
        f.targets.push_back({{edge, top}, {f.width - edge, top + height}, none, none, told});
        y += height;
        rule(y, Ink::grid, 0.8);
    }
    y += 8;
    for (const std::string& note : v.notes)
        for (const std::string& line : in_lines(note, f.width - 2 * edge, 10, 4)) {
            f.shapes.push_back(words({edge, y + 10}, line, 10, Ink::quiet));
            y += leading;
        }
    f.height = y + 10;
    return f;
}

} // namespace lostvolts

#include "solver/waveform/columns.h"

#include <array>
#include <cctype>
#include <charconv>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/waveform/number.h"
#include "solver/waveform/unit_words.h"

namespace lostvolts {
namespace {

enum class Role { time, volts, amps };

struct Line {
    std::string_view text;
    int number = 0;
    std::size_t byte = 0;
};

std::vector<Line> lines_of(std::string_view top) {
    std::vector<Line> lines;
    std::size_t at = top.starts_with("\xEF\xBB\xBF") ? 3 : 0;
    while (at < top.size()) {
        const std::size_t end = std::min(top.find('\n', at), top.size());
        std::string_view text = top.substr(at, end - at);
        if (text.ends_with('\r')) text.remove_suffix(1);
        lines.push_back({text, static_cast<int>(lines.size()) + 1, at});
        at = end + 1;
    }
    return lines;
}

bool is_number(std::string_view cell, char point) {
    double ignored;
    const std::string padded = std::string(cell) + std::string(reading_slack, '\0');
    const char* const end = padded.data() + cell.size();
    return read_decimal(padded.data(), end, point, ignored) == end;
}

/// A row of numbers: the first cell is one, and so are half of the others at least; two at least.
bool is_row(std::string_view line, char separator, char point) {
    const auto cells = cells_of(line, separator);
    const auto numbers = static_cast<std::size_t>(
        std::count_if(cells.begin(), cells.end(), [&](std::string_view c) { return is_number(c, point); }));
    return cells.size() >= 2 && is_number(cells[0], point) && numbers >= 2 && 2 * numbers >= cells.size();
}

struct Layout {
    std::size_t row = 0; ///< index of the first line of numbers
    char separator = ',';
    char point = '.';
};

/// The first line of numbers that is followed by another such line, under the first layout that fits it.
std::optional<Layout> find_layout(const std::vector<Line>& lines) {
    constexpr std::array<Layout, 5> kinds{
        {{0, ';', '.'}, {0, ';', ','}, {0, '\t', '.'}, {0, '\t', ','}, {0, ',', '.'}}};
    for (std::size_t k = 0; k < lines.size(); ++k)
        for (Layout kind : kinds) {
            if (!is_row(lines[k].text, kind.separator, kind.point)) continue;
            if (k + 1 < lines.size() && !is_row(lines[k + 1].text, kind.separator, kind.point)) continue;
            kind.row = k;
            // "0,NaN,NaN" above it is a row as well, and no heading: the reader tells of it.
            const auto first_cell = [&](std::size_t r) { return cells_of(lines[r].text, kind.separator)[0]; };
            const std::size_t cells = cells_of(lines[k].text, kind.separator).size();
            while (kind.row > 0 && is_number(first_cell(kind.row - 1), kind.point) &&
                   cells_of(lines[kind.row - 1].text, kind.separator).size() == cells)
                --kind.row;
            // "1;2" reads as numbers with either point: the first cells that have one decide.
            for (std::size_t r = k; kind.separator != ',' && r < lines.size(); ++r) {
                if (is_row(lines[r].text, kind.separator, kind.point)) continue;
                const char other = kind.point == '.' ? ',' : '.';
                if (is_row(lines[r].text, kind.separator, other)) kind.point = other;
                break;
            }
            return kind;
        }
    return std::nullopt;
}

struct Heading {
    std::vector<std::string_view> names;
    std::vector<std::string_view> units; ///< of a units row; empty without one
    const Line* line = nullptr;
};

Heading heading_above(const std::vector<Line>& lines, const Layout& layout) {
    Heading heading;
    const auto blank = [&](const Line& l) {
        const auto cells = cells_of(l.text, layout.separator);
        return std::all_of(cells.begin(), cells.end(), [](std::string_view c) { return c.empty(); });
    };
    for (std::size_t k = layout.row; k-- > 0;) {
        if (blank(lines[k])) continue;
        auto cells = cells_of(lines[k].text, layout.separator);
        // Columns of other things may stand beside the time's, in units that nobody here knows.
        std::ptrdiff_t told = 0, known = 0;
        bool time = false;
        for (const std::string_view c : cells) {
            const auto unit = unit_word(c);
            told += !c.empty();
            known += unit.has_value();
            time = time || (unit && unit->of == UnitWord::Of::seconds);
        }
        const bool units = known == told || (time && 2 * known >= told);
        if (units && heading.units.empty()) {
            heading.units = std::move(cells);
            heading.line = &lines[k];
            continue;
        }
        if (heading.units.empty() || cells.size() >= heading.units.size()) {
            heading.names = std::move(cells);
            heading.line = &lines[k];
        }
        break;
    }
    if (heading.names.empty()) heading.names = heading.units; // a header that is nothing but "s,V,A"
    return heading;
}

class Finder {
  public:
    Finder(const std::vector<Line>& lines, const Layout& layout, const std::string& file,
           const CaptureOptions& options)
        : file_(file), options_(options), heading_(heading_above(lines, layout)), first_(lines[layout.row]),
          count_(cells_of(first_.text, layout.separator).size()) {
        columns_.separator = layout.separator;
        columns_.decimal_point = layout.point;
        columns_.first_row_byte = first_.byte;
        columns_.first_row_line = first_.number;
    }

    Result<Columns> find() {
        told(options_.time_column, "--time-column", columns_.time);
        told(options_.volts_column, "--volts-column", columns_.volts);
        told(options_.amps_column, "--amps-column", columns_.amps);
        if (!problems_.empty()) return problems_;
        if (heading_.names.empty()) {
            if (columns_.time < 0 || (columns_.volts < 0 && columns_.amps < 0)) return no_header();
        } else if (decimal_commas_among_commas()) {
            return problems_;
        }
        recognise(Role::time, columns_.time);
        const bool any_told = columns_.volts >= 0 || columns_.amps >= 0;
        if (!any_told || options_.volts_column.empty()) recognise(Role::volts, columns_.volts);
        if (!any_told || options_.amps_column.empty()) recognise(Role::amps, columns_.amps);
        if (!problems_.empty()) return problems_;
        if (columns_.time < 0) return not_there("time", "--time-column");
        if (columns_.volts < 0 && columns_.amps < 0)
            return not_there("volts or amperes", "--volts-column or --amps-column");
        scales();
        if (!problems_.empty()) return problems_;
        return columns_;
    }

  private:
    Problem problem(const Line& line, std::string what, std::string write) const {
        return {file_,
                {line.number, 1, 1},
                std::move(what),
                std::move(write),
                std::string(line.text.substr(0, 160))};
    }
    const Line& place() const { return heading_.line ? *heading_.line : first_; }
    std::string listed() const {
        std::vector<std::string> names;
        for (const auto n : heading_.names) names.push_back(fmt::format("\"{}\"", n));
        return fmt::format("{}", fmt::join(names, ", "));
    }

    void told(const std::string& name, std::string_view option, int& column) {
        if (name.empty()) return;
        int number = 0;
        const auto read = std::from_chars(name.data(), name.data() + name.size(), number);
        if (read.ec == std::errc{} && read.ptr == name.data() + name.size() && number >= 1 &&
            number <= static_cast<int>(count_)) {
            column = number - 1;
            return;
        }
        for (std::size_t c = 0; c < heading_.names.size() && c < count_; ++c)
            if (same_words(heading_.names[c], name) || same_words(without_unit(heading_.names[c]), name)) {
                column = static_cast<int>(c);
                return;
            }
        problems_.push_back(problem(place(), fmt::format("has no column \"{}\"", name),
                                    heading_.names.empty()
                                        ? fmt::format("give {} a number from 1 to {}", option, count_)
                                        : fmt::format("give {} one of {}", option, listed())));
    }

    Problem no_header() const {
        return problem(first_, "has no header above the numbers, so its columns can't be told apart",
                       "write a first line such as  time (s),volts (V),amps (A)  or say --time-column 1 "
                       "--volts-column 2 --amps-column 3");
    }
    Problem not_there(std::string_view what, std::string_view option) const {
        return problem(
            place(), fmt::format("no column says that it is {}", what),
            fmt::format("say {} with the column's name or number; the header has {}", option, listed()));
    }

    /// "0,001;…" written with commas throughout can't be taken apart again.
    bool decimal_commas_among_commas() {
        const std::size_t names = heading_.names.size();
        if (columns_.separator != ',' || count_ < 2 * names - 1 || count_ <= names || names < 2) return false;
        problems_.push_back(
            problem(first_,
                    fmt::format("has {} numbers under {} headings: decimal commas in a file that "
                                "also parts its columns with commas, or a heading is missing",
                                count_, names),
                    "save it with semicolons or tabs between the columns, or with decimal points"));
        return true;
    }

    std::string_view unit_cell(int c) const {
        const auto k = static_cast<std::size_t>(c);
        return k < heading_.units.size() ? heading_.units[k] : std::string_view{};
    }
    std::optional<UnitWord> unit_at(int c) const {
        if (const auto unit = unit_word(unit_cell(c))) return unit;
        const auto k = static_cast<std::size_t>(c);
        return k < heading_.names.size() ? unit_in_name(heading_.names[k]) : std::nullopt;
    }

    bool is(int c, Role role) const {
        const std::string_view name = heading_.names[static_cast<std::size_t>(c)];
        const auto word = quantity_in_name(name);
        const auto unit = unit_at(c);
        const UnitWord::Of of = word ? *word : unit ? unit->of : UnitWord::Of::other;
        return of == (role == Role::time    ? UnitWord::Of::seconds
                      : role == Role::volts ? UnitWord::Of::volts
                                            : UnitWord::Of::amperes);
    }

    void recognise(Role role, int& column) {
        if (column >= 0) return;
        std::vector<int> fit;
        const int count = static_cast<int>(std::min(heading_.names.size(), count_));
        for (int c = 0; c < count; ++c)
            if (c != columns_.time && c != columns_.volts && c != columns_.amps && is(c, role))
                fit.push_back(c);
        if (fit.empty()) return;
        column = fit.front();
        if (fit.size() == 1 || role == Role::time) return;
        const std::string_view what = role == Role::volts ? "volts" : "amperes";
        std::vector<std::string> names;
        names.reserve(fit.size());
        for (const int c : fit)
            names.push_back(fmt::format("\"{}\"", heading_.names[static_cast<std::size_t>(c)]));
        problems_.push_back(problem(
            place(), fmt::format("{} columns may be {}: {}", fit.size(), what, fmt::join(names, ", ")),
            fmt::format("say which with --{}-column{}", role == Role::volts ? "volts" : "amps",
                        role == Role::volts
                            ? "; if the other is a clamp's, say --amps-column and --clamp \"10 mV/A\""
                            : "")));
    }

    double scale(int column, const std::string& told, UnitWord::Of of, std::string_view what,
                 std::string_view unit_taken, std::string_view option) {
        if (!told.empty()) {
            const auto unit = unit_word(told);
            if (unit && unit->of == of) return unit->size;
            problems_.push_back(
                {file_,
                 {},
                 fmt::format("{} \"{}\" is no unit of {}", option, told, what),
                 fmt::format("write for example  {} {}", option, of == UnitWord::Of::seconds ? "ms" : "mV"),
                 ""});
            return 1;
        }
        const auto unit = unit_at(column);
        if (unit && unit->of == of) return unit->size;
        columns_.notes.push_back(
            fmt::format("The {} column has no unit; its numbers are taken as {}. {} says otherwise.", what,
                        unit_taken, option));
        return 1;
    }

    void scales() {
        columns_.seconds_per_unit =
            scale(columns_.time, options_.time_unit, UnitWord::Of::seconds, "time", "seconds", "--time-unit");
        if (columns_.volts >= 0)
            columns_.volts_per_unit = scale(columns_.volts, options_.volts_unit, UnitWord::Of::volts, "volts",
                                            "volts", "--volts-unit");
        if (columns_.amps < 0) return;
        const auto unit = options_.amps_unit.empty() ? unit_at(columns_.amps) : unit_word(options_.amps_unit);
        const bool in_volts = unit && unit->of == UnitWord::Of::volts;
        if (options_.clamp.empty()) {
            if (in_volts)
                problems_.push_back(
                    problem(place(), "the current's column is in volts, as a clamp or shunt gives them",
                            "say what an ampere is, for example  --clamp \"10 mV/A\"; a shunt of 0.1 Ω gives "
                            "100 mV/A"));
            else
                columns_.amps_per_unit = scale(columns_.amps, options_.amps_unit, UnitWord::Of::amperes,
                                               "current", "amperes", "--amps-unit");
            return;
        }
        const auto volts_per_ampere = read_clamp(options_.clamp);
        if (!volts_per_ampere) {
            problems_.push_back({file_,
                                 {},
                                 fmt::format("--clamp \"{}\" is no clamp's scale", options_.clamp),
                                 "write for example  --clamp \"10 mV/A\"",
                                 ""});
        } else if (unit && !in_volts) {
            problems_.push_back(
                problem(place(), "the current's column is in amperes already, so a clamp's scale has no use",
                        "leave --clamp out, or say --amps-unit mV when the header is wrong"));
        } else {
            if (!unit)
                columns_.notes.push_back(
                    "The current's column has no unit; its numbers are taken as volts from the clamp. "
                    "--amps-unit says otherwise.");
            columns_.amps_per_unit = (unit ? unit->size : 1.0) / *volts_per_ampere;
        }
    }

    const std::string& file_;
    const CaptureOptions& options_;
    Heading heading_;
    Line first_;
    std::size_t count_;
    Columns columns_;
    Problems problems_;
};

} // namespace

std::vector<std::string_view> cells_of(std::string_view line, char separator) {
    std::vector<std::string_view> cells;
    const auto bare = [](std::string_view c) {
        const auto strip = [&](auto drop) {
            while (!c.empty() && drop(c.front())) c.remove_prefix(1);
            while (!c.empty() && drop(c.back())) c.remove_suffix(1);
        };
        strip([](char x) { return x == ' ' || x == '\t' || x == '\r'; });
        if (c.size() >= 2 && c.front() == '"' && c.back() == '"') c = c.substr(1, c.size() - 2);
        strip([](char x) { return x == ' ' || x == '\t'; });
        return c;
    };
    for (std::size_t at = 0; at <= line.size();) {
        // In quotes a separator parts nothing.
        const std::size_t quote = std::min(line.find_first_not_of(" \t", at), line.size());
        const bool quoted = quote < line.size() && line[quote] == '"';
        const std::size_t from = quoted ? line.find('"', quote + 1) : at;
        const std::size_t end = std::min(line.find(separator, std::min(from, line.size())), line.size());
        cells.push_back(bare(line.substr(at, end - at)));
        at = end + 1;
    }
    if (cells.size() > 1 && cells.back().empty()) cells.pop_back(); // a separator at the line's end
    return cells;
}

Result<Columns> read_columns(std::string_view top, const std::string& file, const CaptureOptions& options) {
    const auto refuse = [&](int line, std::string what, std::string write) {
        return Problem{file, {line, 1, 1}, std::move(what), std::move(write), ""};
    };
    const std::string_view mark = top.substr(0, 2);
    if (mark == "\xFF\xFE" || mark == "\xFE\xFF" || top.substr(0, 4096).find('\0') != std::string_view::npos)
        return refuse(1, "is UTF-16 or no text at all", "save it as CSV in UTF-8 or plain ASCII");
    const std::vector<Line> lines = lines_of(top);
    const bool empty = std::all_of(lines.begin(), lines.end(), [](const Line& l) {
        return l.text.find_first_not_of(" \t\r,;") == std::string_view::npos;
    });
    if (empty) return refuse(0, "is empty", "record again, or check that this is the right file");
    const auto layout = find_layout(lines);
    if (!layout && lines.size() == 1 && top.find('\r') != std::string_view::npos)
        return refuse(1, "has lines that end in carriage returns alone",
                      "save it again as CSV; any spreadsheet ends lines as is usual now");
    if (!layout)
        return refuse(lines.front().number, "has no row of numbers with at least two columns",
                      "a capture is a CSV: a header line, then time and volts or amperes parted by comma, "
                      "semicolon or tab");
    return Finder(lines, *layout, file, options).find();
}

} // namespace lostvolts

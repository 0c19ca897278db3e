#include "solver/units/csv.h"

#include <cmath>

#include <fmt/format.h>

#include "solver/units/code_points.h"

namespace lostvolts {

std::string csv_cell(const std::string& raw) {
    std::string text = utf8(code_points(raw)); // a file's name may have bytes that are no text
    if (text.find_first_of(",\"\n\r") == std::string::npos) return text;
    std::string quoted = "\"";
    for (const char ch : text) {
        if (ch == '"') quoted += ch; // doubled
        quoted += ch;
    }
    return quoted + '"';
}

std::string csv_line(const std::vector<std::string>& cells) {
    std::string line;
    for (std::size_t k = 0; k < cells.size(); ++k) {
        if (k > 0) line += ',';
        line += csv_cell(cells[k]);
    }
    return line + '\n';
}

std::string csv_number(double value) { return std::isfinite(value) ? fmt::format("{}", value) : ""; }

} // namespace lostvolts

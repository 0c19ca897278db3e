// Comma-separated text as RFC 4180 has it, for the files that a spreadsheet opens.
#pragma once

#include <string>
#include <vector>

namespace lostvolts {

/// A cell in quotes where it needs them: a comma, a quote or a line end in it.
std::string csv_cell(const std::string& text);
/// Cells with commas between and a line end.
std::string csv_line(const std::vector<std::string>& cells);
/// The shortest text that reads back as the same number, with a decimal point; empty for what is no number.
std::string csv_number(double value);

} // namespace lostvolts

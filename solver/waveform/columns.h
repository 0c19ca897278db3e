// The top of a capture's file: which line is the header, what parts the columns, which of them are time,
// volts and amperes, and in what units.
#pragma once

#include <algorithm>

#include "solver/waveform/capture.h"

namespace lostvolts {

/// How to read the rows of one file.
struct Columns {
    char separator = ',';
    char decimal_point = '.';
    int time = -1; ///< column numbers from 0
    int volts = -1;
    int amps = -1;
    double seconds_per_unit = 1;
    double volts_per_unit = 1;
    double amps_per_unit = 1;
    std::size_t first_row_byte = 0; ///< where the numbers begin
    int first_row_line = 1;
    std::vector<std::string> notes; ///< what was taken for granted

    int last() const { return std::max(time, std::max(volts, amps)); }
};

/// From the first bytes of a file, which hold its header and some rows.
Result<Columns> read_columns(std::string_view top, const std::string& file, const CaptureOptions& options);

/// The cells of one line, blanks and quotes taken off.
std::vector<std::string_view> cells_of(std::string_view line, char separator);

} // namespace lostvolts

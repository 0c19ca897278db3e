// The rows of a capture as they stand in the file, before their steps are evened out. Inner header.
#pragma once

#include "solver/waveform/capture.h"

namespace lostvolts {

struct Rows {
    std::string file;
    std::vector<double> seconds; ///< as written: may stand still, leap or run backwards
    std::vector<double> volts;   ///< empty: no such column
    std::vector<double> amps;
    int first_line = 1;
    std::vector<int> lines_left_out; ///< ascending
    std::vector<std::string> repairs;

    /// The line of the file that row k was on.
    int line_of(std::size_t k) const;
};

/// Even steps from rows that may have none: single rows that run backwards are left out, small gaps bridged
/// by straight lines, at large ones the file is cut and its longest stretch kept; each with its sentence.
Result<Capture> even_out(Rows rows);

} // namespace lostvolts

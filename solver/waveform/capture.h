// A recorded waveform as numbers: volts and amperes at even steps of time, and what had to be mended to get
// them. Made from any CSV with a header; comma, semicolon or tab; decimal comma; seconds to microseconds.
// Samples are plain doubles in SI units: they are the numerical kernel's own.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "solver/units/quantity.h"
#include "solver/units/result.h"

namespace lostvolts {

/// What a person may have to tell when the header doesn't. A column is its name in the header or its number
/// from 1.
struct CaptureOptions {
    std::string time_column;
    std::string volts_column;
    std::string amps_column;
    std::string time_unit;  ///< "s", "ms", "us", "ns"; empty: the header's
    std::string volts_unit; ///< "V", "mV", "kV"; empty: the header's
    std::string amps_unit;  ///< "A", "mA"; empty: the header's
    std::string clamp;      ///< of a clamp or shunt read in volts: "10 mV/A"; empty: the column is in amperes
};

/// A capture in memory. A column that was not recorded is empty; else it has one number per step.
struct Capture {
    std::string file;
    double start_seconds = 0;  ///< of the first sample, on the file's own clock
    double step_seconds = 0;   ///< between samples
    std::size_t rows_read = 0; ///< good rows of the file
    std::vector<double> volts;
    std::vector<double> amps;
    std::vector<std::string> repairs; ///< sentences: what was skipped, mended or taken for granted

    std::size_t size() const { return volts.empty() ? amps.size() : volts.size(); }
    double seconds(std::size_t k) const { return start_seconds + step_seconds * static_cast<double>(k); }
};

/// Reads a file of any length in bounded pieces; memory is that of the samples as doubles and no more than
/// once again while uneven steps are evened out. Errors name the line: empty, UTF-16, no header, columns that
/// can't be told, text or NaN in more than a tenth of the rows, time that runs backwards, fewer than 16 rows.
/// Smaller faults are mended and told in `repairs`.
Result<Capture> read_capture(const std::string& path, const CaptureOptions& options = {});

/// The same from text in memory.
Result<Capture> read_capture_text(std::string_view text, std::string file,
                                  const CaptureOptions& options = {});

} // namespace lostvolts

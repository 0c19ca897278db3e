// A readings file changed by one reading at a time: added at the end, given another value, taken out. All
// else, the person's comments and spacing among it, stays byte for byte. Texts in, texts out; who calls saves
// them with replace_text_file().
#pragma once

#include <string>
#include <string_view>

#include "solver/locate/readings.h"

namespace lostvolts {

/// A reading in the words that its file has for it. What is empty is not written.
struct WrittenReading {
    std::string state;
    std::string quantity; ///< "voltage", "current" …
    std::string red, black;
    std::string through;
    std::string value; ///< "1.84 V", "lit"
    std::string meter;
    std::string note;
};

/// The head of a file that has no readings yet. `circuit` is the circuit's file as seen from this one's
/// folder.
std::string first_lines(std::string_view circuit);

std::string add_reading(std::string_view text, const WrittenReading& reading);

/// The meter that readings of this quantity were last taken with; empty when there is none.
std::string last_meter(const Readings& job, Measurand quantity);

/// Readings count from 0. Errors: there is no such reading; the text is no TOML.
Result<std::string> change_value(std::string_view text, int reading, std::string_view value,
                                 const std::string& file);
Result<std::string> take_out_reading(std::string_view text, int reading, const std::string& file);

} // namespace lostvolts

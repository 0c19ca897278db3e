// The words by which the header of a capture names time, volts and amperes, and their units. Instruments and
// people write them in many ways: "Time (ms)", "t_s", "CH1 [mV]", "current/A", "volts".
#pragma once

#include <optional>
#include <string_view>

namespace lostvolts {

struct UnitWord {
    enum class Of { seconds, volts, amperes, other };
    Of of = Of::other;
    double size = 1; ///< in s, V or A
};

/// A whole cell that is a unit, bracketed or not: "ms", "(V)", "[mA]", "amps".
std::optional<UnitWord> unit_word(std::string_view cell);
/// The unit at the end of a column's name: in brackets, or after "_", "/" or a blank.
std::optional<UnitWord> unit_in_name(std::string_view name);
/// What a column's name says that it holds, apart from its unit: "current", "clamp", "voltage", "time".
std::optional<UnitWord::Of> quantity_in_name(std::string_view name);

/// The name without its unit.
std::string_view without_unit(std::string_view name);
/// Letters in either case are the same.
bool same_words(std::string_view a, std::string_view b);

/// "10 mV/A", "0.1 V/A": volts per ampere.
std::optional<double> read_clamp(std::string_view text);

} // namespace lostvolts

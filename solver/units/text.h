// Values as people write them: "3.4 m", "11 ft", "250 mohm", "250 mΩ", "2.5 mm2", "14 AWG", "85 degC", "12
// Ah", "3400 rpm", "25 min". Every value carries its unit; a bare number is refused with what to write.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "solver/units/quantity.h"

namespace lostvolts {

/// What is wrong with a value's text, and at which character of it. `what` reads on after the value's name:
/// area + "has no unit". `write` is a line of its own: "write the unit in the value, for example "0.35 mm2"".
struct ValueError {
    std::size_t at = 0; ///< code points from the start of the text, from 0
    std::string what;
    std::string write;
};

template <class T> using Parsed = std::variant<T, ValueError>;

/// A wire size as written: its area, and its gauge number when it was written as a gauge ("14 AWG", "2/0
/// AWG").
struct WireSize {
    Area<> area;
    std::optional<int> gauge; ///< AWG; 0 is 1/0, -1 is 2/0, -2 is 3/0, -3 is 4/0
};

/// A meter's accuracy, "0.5 % + 2 counts": the half-width of its error is share·|reading| +
/// counts·resolution.
struct Accuracy {
    double share = 0;  ///< of the reading, 0.005 for 0.5 %
    double counts = 0; ///< last digits
};

/// The value of `text` as a Q. Q is any alias of quantity.h that people write (the .cpp lists them).
/// Errors: not a number, no unit, a unit of another quantity, an unknown unit (the nearest is named), a
/// decimal comma, out of a double's range, NaN.
/// A decimal prefix moves the decimal point of the text, so "0.35 mm2" is exactly the double 0.35e-6.
/// A Ratio may be a bare number: "0.85" is "85 %".
template <class Q> Parsed<Q> read_quantity(std::string_view text);

/// A cross-section in mm² and the like, or an American wire gauge from 4/0 to 40: "14 AWG", "AWG 14",
/// "2/0 AWG".
Parsed<WireSize> read_wire_size(std::string_view text);
/// "0.5 % + 2 counts", "1.5 %", "2 counts"; the word may be left out after a share: "0.5%+2".
Parsed<Accuracy> read_accuracy(std::string_view text);

/// The shortest text that reads back as exactly the same value, with the prefix people would use: "250 mohm".
template <class Q> std::string write_quantity(Q value);
std::string write_wire_size(const WireSize& size);

/// For tables: at most `digits` significant digits, a prefix that suits, Ω and µ: "1.84 V", "250 mΩ". Speeds
/// show in rpm, charges in Ah, temperatures in °C, times from 120 s in min and from 7200 s in h. What is less
/// than a thousandth of the smallest prefix shows as 0, infinity as ∞, and what is no number as "—".
template <class Q> std::string show(Q value, int digits = 3);

} // namespace lostvolts

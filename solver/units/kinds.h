// The kinds of quantity that people write, and how each is named, asked for and written. The templates of
// text.h are thin doors to the plain functions below, so that only one reader is compiled. Inside this room
// only.
#pragma once

#include <array>
#include <string_view>
#include <vector>

#include "solver/units/text.h"

namespace lostvolts {

/// Exponents of m, kg, s, A, K and rad.
using Dimension = std::array<int, 6>;

// clang-format off
enum class Kind {
    voltage, current, resistance, conductance, power, length, area, mass, temperature, time, speed, torque, inertia,
    inductance, capacitance, charge, energy, motor_constant, viscous_drag, temperature_coefficient,
    resistance_per_length, resistivity, ratio
};
// clang-format on

/// A unit to write in: `ascii` in files, `table` in tables; the SI value is the number · times/over ·
/// 10^tens.
struct WrittenUnit {
    std::string_view ascii;
    std::string_view table;
    int tens = 0;
};

/// A unit that isn't a decimal multiple: written when its text is no longer than the decimal one's plus
/// `slack`, so that a unit of the trade (rpm, degC, Ah) is preferred and a foot only when metres come out
/// crooked.
struct OtherUnit {
    std::string_view ascii;
    int slack = 0;
    double one = 1; ///< its SI value
};

struct KindInfo {
    Kind kind;
    std::string_view name;    ///< "a resistance"
    std::string_view example; ///< "250 mohm"
    std::string_view usual;   ///< the unit proposed for a bare number: "ohm"
    Dimension dimension;      ///< its radian is the one of quantity.h
    int radians_low;          ///< exponents of the radian that people write for it
    int radians_high;
    std::vector<WrittenUnit> prefixed; ///< smallest first; the units of writing and of tables
    std::vector<OtherUnit> others;
    std::vector<std::string_view> understood; ///< more that is read, for "did you mean"
};

const std::vector<KindInfo>& kinds();
const KindInfo& info(Kind kind);

Parsed<double> read_si(std::string_view text, Kind kind);
bool is_gauge(std::string_view text); ///< names AWG
std::string write_si(double value, Kind kind);
std::string show_si(double value, Kind kind, int digits);

} // namespace lostvolts

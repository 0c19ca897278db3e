// A unit as people write it, "mV s/rad" or "ohm mm2/m": a product of symbols with prefixes and powers. Inside
// this room only.
#pragma once

#include <cstddef>
#include <string>

#include "solver/units/kinds.h"
#include "solver/units/plain_text.h"

namespace lostvolts {

/// What a unit stands for: its SI value is times/over · 10^tens.
struct UnitMeaning {
    Dimension dimension{};
    long double times = 1;
    long double over = 1;
    int tens = 0;
    bool of_energy = false; ///< names a joule or watt-hour: no torque, though its dimension is the same
    std::string alone;      ///< its plain symbol when it is a single one without power or prefix
};

/// Where reading a unit stopped being possible, in characters of the plain text.
struct UnitFault {
    enum class Why { unknown, number, ambiguous_slash, syntax } why;
    std::size_t from = 0;
    std::size_t to = 0;
};

std::variant<UnitMeaning, UnitFault> read_unit(const PlainText& text, std::size_t from);

} // namespace lostvolts

// The value of a reading as a person writes it: "1.84 V", "3400 rpm", "open", "dim". Its unit or word tells
// what was measured.
#pragma once

#include <optional>
#include <string_view>

#include "solver/locate/readings.h"
#include "solver/units/text.h"

namespace lostvolts {

/// The quantity whose unit or word the value has; nothing for a bare number.
std::optional<Measurand> quantity_of_value(std::string_view value);
/// What is wrong with a value of this quantity; nothing when a file may have it.
std::optional<ValueError> value_error(Measurand quantity, std::string_view value);
/// The unit that a bare number of this quantity is taken in: "V". Empty for words.
std::string_view usual_unit(Measurand quantity);

} // namespace lostvolts

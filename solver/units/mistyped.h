// Values that were meant where a unit's letters changed places. A reader of a value names the unit nearest to
// the one it can't read (read_quantity); this is for texts in which a word need be no unit at all.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace lostvolts {

/// "4 mohm" for "4 mhom" and "4mhom": a number, then the letters of a unit that is read in another order.
/// Nothing for units below three letters, where most words would be one.
std::optional<std::string> value_mistyped(std::string_view text);

} // namespace lostvolts

// What is looked at before a TOML parser sees the text: is it text at all, and is it bounded? A parser
// recurses into brackets and dotted keys, so both are counted first. Inside this room only.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "solver/units/result.h"

namespace lostvolts {

/// Brackets or dotted keys nested deeper than deepest_nesting, a line longer than longest_line_bytes, more
/// values than most_values.
std::optional<Problem> not_bounded(std::string_view text, const std::string& file);

} // namespace lostvolts

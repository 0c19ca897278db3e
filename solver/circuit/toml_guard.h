// What is looked at before a TOML parser sees the text: is it text at all, and is it bounded? A parser
// recurses into brackets and dotted keys, so both are counted first. Inside this room only.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "solver/units/result.h"

namespace lostvolts {

/// Not UTF-8, UTF-16 by its first bytes, or with NUL bytes in it: what to do about it.
std::optional<Problem> not_text(std::string_view bytes, const std::string& file);

/// Brackets or dotted keys nested deeper than deepest_nesting, a line longer than longest_line_bytes, more
/// values than most_values.
std::optional<Problem> not_bounded(std::string_view text, const std::string& file);

} // namespace lostvolts

// A text, line by line.
#pragma once

#include <string_view>

namespace lostvolts {

/// Takes the first line off the text; without its end, "\n" or "\r\n".
std::string_view take_line(std::string_view& text);

} // namespace lostvolts

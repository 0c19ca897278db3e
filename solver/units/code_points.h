// Text as code points, for columns, carets and the widths of type.
#pragma once

#include <string>
#include <string_view>

namespace lostvolts {

/// The code points of UTF-8 text; a byte that belongs to none stands as U+FFFD.
std::u32string code_points(std::string_view utf8);
std::string utf8(std::u32string_view points);

} // namespace lostvolts

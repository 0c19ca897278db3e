// A text, line by line or word by word, and without the blanks around it.
#pragma once

#include <concepts>
#include <string>
#include <string_view>
#include <vector>

namespace lostvolts {

/// Takes the first line off the text; without its end, "\n" or "\r\n".
std::string_view take_line(std::string_view& text);

/// Without blanks at its ends; what counts as one may be said.
std::string_view trimmed(std::string_view text, std::string_view blanks = " \t\r");
template <std::same_as<std::string> Text> // a text that would be gone at once
std::string_view trimmed(Text&& text, std::string_view blanks = {}) = delete;

/// What stands between the blanks, as views into the text.
std::vector<std::string_view> split_words(std::string_view text);

} // namespace lostvolts

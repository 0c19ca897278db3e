#include "solver/units/lines.h"

#include <algorithm>

namespace lostvolts {

std::string_view take_line(std::string_view& text) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (line.ends_with('\r')) line.remove_suffix(1);
    return line;
}

std::string_view trimmed(std::string_view text, std::string_view blanks) {
    const std::size_t from = text.find_first_not_of(blanks);
    if (from == std::string_view::npos) return {};
    return text.substr(from, text.find_last_not_of(blanks) - from + 1);
}

std::vector<std::string_view> split_words(std::string_view text) {
    std::vector<std::string_view> words;
    while (!(text = trimmed(text)).empty()) {
        words.push_back(text.substr(0, text.find_first_of(" \t\r")));
        text.remove_prefix(words.back().size());
    }
    return words;
}

} // namespace lostvolts

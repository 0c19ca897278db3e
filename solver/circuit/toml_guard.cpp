#include "solver/circuit/toml_guard.h"

#include <fmt/format.h>

#include "solver/circuit/toml_file.h"

namespace lostvolts {
namespace {

/// How many bytes the UTF-8 sequence at `i` has, 0 when it is none (Unicode 15, table 3-7).
std::size_t sequence_length(std::string_view s, std::size_t i) {
    const auto byte = [&](std::size_t k) { return k < s.size() ? static_cast<unsigned char>(s[k]) : 0u; };
    const auto follows = [&](std::size_t k, unsigned low = 0x80, unsigned high = 0xBF) {
        return byte(k) >= low && byte(k) <= high;
    };
    const unsigned first = byte(i);
    if (first < 0x80) return 1;
    if (first >= 0xC2 && first <= 0xDF) return follows(i + 1) ? 2 : 0;
    if (first >= 0xE0 && first <= 0xEF) {
        const unsigned low = first == 0xE0 ? 0xA0 : 0x80, high = first == 0xED ? 0x9F : 0xBF;
        return follows(i + 1, low, high) && follows(i + 2) ? 3 : 0;
    }
    if (first >= 0xF0 && first <= 0xF4) {
        const unsigned low = first == 0xF0 ? 0x90 : 0x80, high = first == 0xF4 ? 0x8F : 0xBF;
        return follows(i + 1, low, high) && follows(i + 2) && follows(i + 3) ? 4 : 0;
    }
    return 0;
}

Place start_place(int line, int column) { return {line, column, 1}; }

} // namespace

std::optional<Problem> not_text(std::string_view bytes, const std::string& file) {
    if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF"))
        return Problem{file, {}, "is UTF-16 text", "save it as UTF-8", ""};
    const std::string_view start = bytes.substr(0, 4);
    if (start.size() == 4 && (start[0] == '\0') != (start[1] == '\0') &&
        (start[2] == '\0') != (start[3] == '\0'))
        return Problem{file, {}, "is UTF-16 text", "save it as UTF-8", ""};

    int line = 1, column = 1;
    std::size_t line_start = 0;
    for (std::size_t i = 0; i < bytes.size();) {
        const char c = bytes[i];
        if (c == '\0')
            return Problem{file, start_place(line, column), "has a NUL byte: this is not a text file",
                           "check that this is the right file", ""};
        const std::size_t length = sequence_length(bytes, i);
        if (length == 0)
            return Problem{file, start_place(line, column),
                           fmt::format("byte 0x{:02X} is not UTF-8 text", static_cast<unsigned char>(c)),
                           "save the file as UTF-8 (older editors call it Unicode)",
                           std::string(bytes.substr(line_start, i - line_start))};
        i += length;
        ++column;
        if (c == '\n') ++line, column = 1, line_start = i;
    }
    return std::nullopt;
}

std::optional<Problem> not_bounded(std::string_view text, const std::string& file) {
    constexpr char none_open = '\0';
    char quote = none_open; // the open string's quote
    bool triple = false, comment = false;
    int depth = 0, dots = 0, line = 1;
    std::size_t values = 0, line_start = 0;

    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        if (c == '\n') {
            ++line;
            line_start = i + 1;
            comment = false;
            dots = 0;
            if (!triple) quote = none_open;
            continue;
        }
        if (i - line_start >= longest_line_bytes)
            return Problem{file, start_place(line, 1),
                           fmt::format("this line is longer than {} MB", longest_line_bytes >> 20),
                           "break it into shorter lines", ""};
        if (comment) continue;
        if (quote != none_open) {
            if (c == '\\' && quote == '"' && i + 1 < text.size() && text[i + 1] != '\n') {
                ++i;
            } else if (c == quote) {
                const bool three = text.substr(i, 3) == std::string(3, quote);
                if (!triple) quote = none_open;
                if (triple && three) quote = none_open, triple = false, i += 2;
            }
            continue;
        }
        switch (c) {
        case '"':
        case '\'':
            quote = c;
            triple = text.substr(i, 3) == std::string(3, c);
            if (triple) i += 2;
            break;
        case '#':
            comment = true;
            break;
        case '[':
        case '{':
            ++depth;
            dots = 0;
            ++values;
            break;
        case ']':
        case '}':
            depth = std::max(0, depth - 1);
            dots = 0;
            break;
        case '=':
        case ',':
            dots = 0;
            ++values;
            break;
        case '.':
            ++dots;
            break;
        default:
            break;
        }
        if (depth > deepest_nesting || dots > deepest_nesting)
            return Problem{file, start_place(line, static_cast<int>(i - line_start) + 1),
                           fmt::format("{} are nested more than {} deep",
                                       dots > deepest_nesting ? "dotted keys" : "brackets", deepest_nesting),
                           "a circuit needs no more than four levels; check for a bracket that is not closed",
                           ""};
        if (values > most_values)
            return Problem{file, start_place(line, 1),
                           fmt::format("has more than {} values, the most that is read", most_values),
                           "split the circuit", ""};
    }
    return std::nullopt;
}

} // namespace lostvolts

#include "solver/circuit/toml_syntax.h"

#include <algorithm>
#include <array>
#include <optional>

#include <fmt/format.h>

#include "solver/units/lines.h"

namespace lostvolts {
namespace {

using View = std::string_view;
constexpr View blanks = " \t";
constexpr std::array<View, 6> listed_tables = {"part", "point", "state", "condition", "meter", "reading"};

bool is_key_character(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-';
}

int column_of(View line, std::size_t at) {
    const View before = line.substr(0, at);
    return 1 + static_cast<int>(std::count_if(before.begin(), before.end(),
                                              [](char c) { return (c & '\xC0') != '\x80'; }));
}

/// A line taken apart as `key = value`, however badly it is written.
struct Line {
    View text, key, value; // trimmed; value without a comment that follows it
    std::size_t value_at = 0;
    bool has_equals = false;
};

Line taken_apart(View text) {
    Line line{text, {}, {}, 0, false};
    const std::size_t equals = text.find('=');
    line.has_equals = equals != View::npos;
    line.key = trimmed(text.substr(0, equals));
    if (!line.has_equals) return line;
    View rest = text.substr(equals + 1);
    line.value_at = std::min(rest.find_first_not_of(blanks), rest.size()) + equals + 1;
    line.value = trimmed(rest);
    return line;
}

View without_comment(View value) { return trimmed(value.substr(0, value.find('#'))); }

bool plain_key(View key) { return !key.empty() && std::all_of(key.begin(), key.end(), is_key_character); }

/// The text in ordinary quotes, curly ones taken off.
std::string quoted(View value) {
    std::string inner(value);
    for (const View quote : {"\xE2\x80\x9C", "\xE2\x80\x9D", "\xE2\x80\x9E", "\xE2\x80\x98", "\xE2\x80\x99",
                             "\xC2\xAB", "\xC2\xBB", "\""})
        for (std::size_t at; (at = inner.find(quote)) != std::string::npos;) inner.erase(at, quote.size());
    return fmt::format("\"{}\"", trimmed(inner));
}

struct Parts {
    const std::vector<View>& lines;
    const SyntaxStop& stop;
    Line line;

    SyntaxAdvice at_value(std::string what, std::string write, std::string instead, bool guessed) const {
        return {{stop.line, column_of(line.text, line.value_at), 1},
                std::move(what),
                std::move(write),
                stop.line,
                std::move(instead),
                guessed};
    }
    SyntaxAdvice at_stop(std::string what, std::string write, std::string instead, bool guessed) const {
        return {{stop.line, stop.column, 1}, std::move(what), std::move(write), stop.line,
                std::move(instead),          guessed};
    }
};

using Advice = std::optional<SyntaxAdvice>;

/// The same key or table a second time.
Advice repeated(const Parts& p) {
    if (p.stop.said.find("cannot redefine") == std::string::npos) return {};
    if (p.stop.said.find("key-value pair") != std::string::npos) {
        const int column = column_of(p.line.text, p.line.text.find_first_not_of(blanks));
        return SyntaxAdvice{{p.stop.line, column, static_cast<int>(p.line.key.size())},
                            fmt::format("{} is there twice in one table", p.line.key),
                            "keep one of the two lines, or begin a new table above this one",
                            p.stop.line,
                            "",
                            true};
    }
    const std::size_t from = p.line.text.find_first_not_of("[ \t");
    if (from == View::npos) return {};
    const View rest = p.line.text.substr(from);
    const View name = trimmed(rest.substr(0, rest.find(']')));
    const bool listed = std::find(listed_tables.begin(), listed_tables.end(), name) != listed_tables.end();
    SyntaxAdvice advice;
    advice.place = {p.stop.line, column_of(p.line.text, from), std::max(1, static_cast<int>(name.size()))};
    advice.what = fmt::format("the table {} is there twice", name);
    advice.write = listed ? fmt::format("write [[{}]], with two brackets, above each one", name)
                          : fmt::format("put all of its keys below one [{}]", name);
    return advice;
}

/// [[part, [part]], [ [part] ].
Advice broken_header(const Parts& p) {
    if (p.line.text.empty() || trimmed(p.line.text).front() != '[') return {};
    const std::size_t from = p.line.text.find_first_not_of("[ \t");
    if (from == View::npos) return {};
    View rest = p.line.text.substr(from);
    std::size_t end = 0;
    while (end < rest.size() && is_key_character(rest[end])) ++end;
    const View name = rest.substr(0, end);
    if (name.empty()) return {};
    const bool listed = std::find(listed_tables.begin(), listed_tables.end(), name) != listed_tables.end();
    const std::string header = listed ? fmt::format("[[{}]]", name) : fmt::format("[{}]", name);
    return SyntaxAdvice{{p.stop.line, column_of(p.line.text, p.line.text.find('[')), 1},
                        fmt::format("the brackets round {} don't match", name),
                        fmt::format("write {}", header),
                        p.stop.line,
                        header,
                        false};
}

/// A list or an inline table that goes on into a line that isn't its own.
Advice unclosed_list(const Parts& p) {
    // Inside an open list the next line's key is taken for a value.
    const std::size_t equals = p.line.text.find('=');
    const bool key_as_value = p.line.has_equals && p.stop.said.find("key") == std::string::npos &&
                              p.stop.column <= column_of(p.line.text, equals) && p.stop.line > 1;
    const bool list = key_as_value || p.stop.said.find("parsing array") != std::string::npos;
    const bool table = p.stop.said.find("parsing inline table") != std::string::npos;
    if (!list && !table) return {};
    const char open = list ? '[' : '{';
    for (int n = p.stop.line - (key_as_value ? 1 : 0); n > 0; --n) {
        const View text = p.lines[static_cast<std::size_t>(n - 1)];
        const std::size_t at = text.find(open, text.find('=') == View::npos ? 0 : text.find('='));
        if (at == View::npos || (n != p.stop.line && text.find('=') == View::npos)) continue;
        const Place place{n, column_of(text, at), 1};
        if (table)
            return SyntaxAdvice{place,
                                "what stands between { and } is not written as it must be",
                                "write it on one line, with a comma between its keys and none after the last:"
                                "  { part = \"feed\", kind = \"open\" }",
                                0,
                                "",
                                false};
        if (n == p.stop.line)
            return SyntaxAdvice{place,
                                "this list lacks a comma or its closing ]",
                                "write names in quotes with commas between:  [\"a\", \"b\"]",
                                0,
                                "",
                                false};
        return SyntaxAdvice{
            place, "this list is not closed", "end it with ]", n, std::string(without_comment(text)) + "]",
            false};
    }
    return {};
}

/// A line that isn't `key = value` at all.
Advice broken_key(const Parts& p) {
    const View text = trimmed(p.line.text);
    if (text.starts_with("//") || text.starts_with(";") || text.starts_with("--"))
        return p.at_stop("a comment begins with #",
                         fmt::format("# {}", trimmed(text.substr(text.find_first_not_of("/;-") == View::npos
                                                                     ? text.size()
                                                                     : text.find_first_not_of("/;-")))),
                         "", true);
    std::size_t end = 0;
    while (end < text.size() && is_key_character(text[end])) ++end;
    const View word = text.substr(0, end);
    const View after = trimmed(text.substr(end));
    if (!word.empty() && after.starts_with(':')) {
        const View value = without_comment(trimmed(after.substr(1)));
        const std::string fixed = fmt::format("{} = {}", word, quoted(value));
        return p.at_stop(fmt::format("there is a colon after {}", word), fixed, fixed, false);
    }
    if (!word.empty() && (after.starts_with('"') || after.starts_with('\''))) {
        const std::string fixed = fmt::format("{} = {}", word, after);
        return p.at_stop(fmt::format("there is no = after {}", word),
                         fmt::format("{} = {}", word, without_comment(after)), fixed, false);
    }
    if (p.line.has_equals && p.line.key.find_first_of(blanks) != View::npos) {
        std::string key(p.line.key);
        std::replace_if(
            key.begin(), key.end(), [](char c) { return c == ' ' || c == '\t'; }, '_');
        if (plain_key(key))
            return p.at_stop(fmt::format("a key can't have blanks in it: {}", p.line.key),
                             fmt::format("{} = {}", key, without_comment(p.line.value)),
                             fmt::format("{} = {}", key, p.line.value), false);
    }
    if (!p.line.has_equals)
        return p.at_stop("this line is neither a key with a value, nor a [[table]], nor a comment",
                         "write  key = \"value\", or begin the line with # when it is a comment", "", true);
    if (!plain_key(p.line.key))
        return p.at_stop("a key is written with the letters a to z, digits, _ and - only",
                         "check the word before the = sign", "", true);
    return {};
}

std::string list_in_quotes(View value) {
    value.remove_prefix(1);
    value = value.substr(0, value.rfind(']'));
    std::string list;
    while (!value.empty()) {
        const std::size_t comma = std::min(value.find(','), value.size());
        if (const View item = trimmed(value.substr(0, comma)); !item.empty())
            list += (list.empty() ? "" : ", ") + quoted(item);
        value.remove_prefix(std::min(comma + 1, value.size()));
    }
    return fmt::format("[{}]", list);
}

/// Something is wrong with the value of `key = value`.
Advice broken_value(const Parts& p) {
    const View key = p.line.key, value = p.line.value;
    if (!plain_key(key)) return {};
    const auto fixed = [&](View text) { return fmt::format("{} = {}", key, text); };
    if (without_comment(value).empty())
        return p.at_value(fmt::format("{} has no value", key), "write one in quotes, or leave the line out",
                          fixed("\"\""), true);

    const char first = value.front();
    if (first == '"' || first == '\'') {
        const std::size_t close = value.find(first, 1);
        if (p.stop.said.find("escape sequence") != std::string::npos) {
            const View inner = value.substr(1, value.rfind('"') == 0 ? View::npos : value.rfind('"') - 1);
            const bool single = inner.find('\'') == View::npos;
            return p.at_stop(fmt::format("a backslash between double quotes has a meaning of its own"),
                             single ? fixed(fmt::format("'{}'", inner)) : "write it twice: \\\\",
                             single ? fixed(fmt::format("'{}'", inner)) : fixed("\"\""), !single);
        }
        if (close == View::npos) {
            const std::string text = fixed(quoted(without_comment(value)));
            return p.at_value(fmt::format("the quotes round {} are not closed", key), text, text, false);
        }
        const View after = trimmed(value.substr(close + 1));
        if (after.starts_with("//") || after.starts_with(";") || after.starts_with("--") ||
            after.starts_with("("))
            return p.at_stop(
                "a comment begins with #",
                fmt::format("{}  # {}", fixed(value.substr(0, close + 1)),
                            trimmed(after.substr(std::min(after.find_first_not_of("/;-("), after.size())))),
                fixed(value.substr(0, close + 1)), false);
        const View stray = without_comment(after);
        if (!stray.empty()) {
            const std::string more = quoted(stray),
                              text = fixed(fmt::format("\"{} {}\"", value.substr(1, close - 1),
                                                       trimmed(View(more).substr(1, more.size() - 2))));
            return p.at_stop(
                fmt::format("{} goes on after its closing quote", key),
                fmt::format("put all of it in one pair of quotes, or begin a comment with #:  {}", text),
                fixed(value.substr(0, close + 1)), true);
        }
        return {};
    }
    const View bare = without_comment(value);
    if (first == '[' && bare.find('{') == View::npos && bare.ends_with(']')) {
        const std::string text = fixed(list_in_quotes(bare));
        return p.at_stop(fmt::format("a name in the list {} is not in quotes", key), text, text, false);
    }
    if (first == '[' || first == '{')
        return SyntaxAdvice{{p.stop.line, p.stop.column, 1},
                            fmt::format("what stands after {} is not written as it must be", key),
                            "put each text in quotes, and check the brackets and commas",
                            p.stop.line,
                            fixed("[]"),
                            true};
    const std::string text = fixed(quoted(bare));
    const bool curly = static_cast<unsigned char>(first) == 0xE2 || static_cast<unsigned char>(first) == 0xC2;
    return p.at_value(curly ? fmt::format("the quotes round {} are curly", key)
                            : fmt::format("the value of {} is not in quotes", key),
                      text, text, false);
}

/// Control characters other than the line's end: pasted from somewhere.
Advice control_character(const Parts& p) {
    const auto control = [](char c) { return (c >= 0 && c < 0x20 && c != '\t') || c == 0x7F; };
    const auto at = std::find_if(p.line.text.begin(), p.line.text.end(), control);
    if (at == p.line.text.end()) return {};
    std::string cleaned(p.line.text);
    std::replace_if(cleaned.begin(), cleaned.end(), control, ' ');
    const int column = column_of(p.line.text, static_cast<std::size_t>(at - p.line.text.begin()));
    return SyntaxAdvice{{p.stop.line, column, 1},
                        "there is a control character in this line",
                        "type the line anew",
                        p.stop.line,
                        cleaned,
                        false};
}

} // namespace

SyntaxAdvice explain_syntax(const std::vector<std::string_view>& lines, const SyntaxStop& stop) {
    const View text = lines[static_cast<std::size_t>(stop.line - 1)];
    const Parts parts{lines, stop, taken_apart(text)};
    const bool header = trimmed(text).starts_with('[');
    for (const auto step : {control_character, repeated, unclosed_list})
        if (auto advice = step(parts)) return *std::move(advice);
    if (header) {
        if (auto advice = broken_header(parts)) return *std::move(advice);
    } else if (!trimmed(text).starts_with('{')) {
        for (const auto step : {broken_key, broken_value})
            if (auto advice = step(parts)) return *std::move(advice);
    }
    // The parser's own words, without its name for what it was doing.
    const std::size_t colon = stop.said.find(": ");
    const std::string said = colon == std::string::npos ? stop.said : stop.said.substr(colon + 2);
    return {{stop.line, stop.column, 1},
            fmt::format("can't be read from here: {}", said),
            "check the quotes, brackets and commas of this line and the one above",
            0,
            "",
            false};
}

} // namespace lostvolts

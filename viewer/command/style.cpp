#include "viewer/command/style.h"

#include <algorithm>
#include <array>
#include <vector>

#include "solver/units/code_points.h"

namespace lostvolts {
namespace {

// Emphasis on its way to finish().
constexpr char strong_mark = '\x01';
constexpr char alarm_mark = '\x02';
constexpr char faint_mark = '\x03';
constexpr char end_mark = '\x04';

bool is_mark(char c) { return c >= strong_mark && c <= end_mark; }
bool continues(char c) { return (static_cast<unsigned char>(c) & 0xC0) == 0x80; }

std::string marked(char mark, std::string_view text) {
    if (text.empty()) return {};
    return mark + std::string(text) + end_mark;
}

/// ISO/IEC 6429 (ECMA-48) select graphic rendition. Bold red and bold keep their contrast on dark and light.
std::string_view rendition(char mark) {
    switch (mark) {
    case strong_mark:
        return "\x1b[1m";
    case alarm_mark:
        return "\x1b[1;31m";
    case faint_mark:
        return "\x1b[2m";
    default:
        return "\x1b[0m";
    }
}

/// Bytes of the first code point's text, at least one.
std::size_t one_code_point(std::string_view text) {
    std::size_t n = 1;
    while (n < text.size() && continues(text[n])) ++n;
    return n;
}

/// C0 and C1 controls, and the marks that reorder text (U+202A–E, U+2066–9): none has a place in an answer.
bool would_move(std::string_view point) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(point[i]); };
    if (point.size() == 1) return byte(0) < 0x20 || byte(0) == 0x7F;
    if (point.size() == 2) return byte(0) == 0xC2 && byte(1) < 0xA0;
    if (point.size() != 3 || byte(0) != 0xE2) return false;
    return (byte(1) == 0x80 && byte(2) >= 0xAA && byte(2) <= 0xAE) ||
           (byte(1) == 0x81 && byte(2) >= 0xA6 && byte(2) <= 0xA9);
}

/// Where to cut a word that is too long for a line: after `columns` code points.
std::size_t cut_at(std::string_view word, int columns) {
    std::size_t at = 0;
    for (int n = 0; at < word.size(); at += one_code_point(word.substr(at))) {
        if (is_mark(word[at])) continue;
        if (n++ == columns) break;
    }
    return at;
}

/// The mark that is open after `text`, given the one open before it; 0 for none.
char open_after(std::string_view text, char open) {
    for (const char c : text)
        if (is_mark(c)) open = c == end_mark ? '\0' : c;
    return open;
}

constexpr int longest_whole_name = 16;

/// Whether a word is a unit, punctuation after it left aside: "mΩ).".
bool is_unit(std::string_view word) {
    static constexpr std::array<std::string_view, 16> units = {
        "V", "mV", "A", "mA", "Ω", "mΩ", "µΩ", "kΩ", "MΩ", "%", "rpm", "min", "N·m", "mN·m", "W", "s"};
    while (!word.empty() && (word.back() == '.' || word.back() == ',' || word.back() == ')' ||
                             word.back() == ';' || word.back() == ':'))
        word.remove_suffix(1);
    return std::find(units.begin(), units.end(), word) != units.end();
}

/// Pieces that a line may break between: a number stays with its unit, and a short quoted name in one piece.
std::vector<std::string_view> words_of(std::string_view text) {
    std::vector<std::string_view> words;
    while (!text.empty()) {
        std::size_t end = std::min(text.find(' '), text.size());
        if (const std::size_t quote = text.substr(0, end).find('"'); quote != std::string_view::npos) {
            const std::size_t close = text.find('"', quote + 1);
            if (close != std::string_view::npos && close > end &&
                width_of(text.substr(quote, close - quote)) <= longest_whole_name)
                end = std::min(text.find(' ', close), text.size());
        }
        if (end > 0 && end < text.size() && text[end - 1] >= '0' && text[end - 1] <= '9') {
            const std::size_t after = std::min(text.find(' ', end + 1), text.size());
            if (is_unit(text.substr(end + 1, after - end - 1))) end = after;
        }
        if (end > 0) words.push_back(text.substr(0, end));
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return words;
}

} // namespace

std::string strong(std::string_view text) { return marked(strong_mark, text); }
std::string alarm(std::string_view text) { return marked(alarm_mark, text); }
std::string faint(std::string_view text) { return marked(faint_mark, text); }

std::string finish(std::string_view raw, bool colour) {
    const std::string whole = utf8(code_points(raw)); // a file's name may have bytes that are no text
    std::string_view text = whole;
    std::string out;
    out.reserve(text.size());
    while (!text.empty()) {
        const std::string_view point = text.substr(0, one_code_point(text));
        text.remove_prefix(point.size());
        if (is_mark(point[0])) {
            if (colour) out += rendition(point[0]);
        } else if (point != "\n" && point != "\t" && would_move(point)) {
            out += "\xEF\xBF\xBD";
        } else {
            out += point;
        }
    }
    return out;
}

int width_of(std::string_view text) {
    return static_cast<int>(
        std::count_if(text.begin(), text.end(), [](char c) { return !continues(c) && !is_mark(c); }));
}

std::string wrapped(std::string_view text, int columns, int first_indent, int indent) {
    std::string out(static_cast<std::size_t>(first_indent), ' ');
    int used = first_indent, least = std::max(columns - indent, 1);
    bool fresh = true;
    char open = '\0';
    const auto new_line = [&] {
        if (open) out += end_mark;
        out += '\n';
        out.append(static_cast<std::size_t>(indent), ' ');
        if (open) out += open;
        used = indent;
        fresh = true;
    };
    for (std::string_view word : words_of(text)) {
        if (!fresh && used + 1 + width_of(word) > columns) new_line();
        while (width_of(word) > std::max(columns - used - (fresh ? 0 : 1), 1) && width_of(word) > least) {
            const std::size_t cut = cut_at(word, std::max(columns - used, 1));
            out += word.substr(0, cut);
            open = open_after(word.substr(0, cut), open);
            word.remove_prefix(cut);
            new_line();
        }
        if (!fresh) out += ' ', ++used;
        out += word;
        open = open_after(word, open);
        used += width_of(word);
        fresh = false;
    }
    return out;
}

} // namespace lostvolts

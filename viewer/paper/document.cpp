#include "viewer/paper/document.h"

#include <algorithm>

#include <fmt/format.h>

namespace lostvolts {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";

/// Bytes of the UTF-8 sequence that begins a text; 0 when none does (Unicode 15, table 3-7).
std::size_t sequence(std::string_view s) {
    const auto byte = [&](std::size_t k) { return k < s.size() ? static_cast<unsigned char>(s[k]) : 0u; };
    const auto follows = [&](std::size_t k, unsigned low = 0x80, unsigned high = 0xBF) {
        return byte(k) >= low && byte(k) <= high;
    };
    const unsigned first = byte(0);
    if (first < 0x80) return 1;
    if (first >= 0xC2 && first <= 0xDF) return follows(1) ? 2 : 0;
    if (first >= 0xE0 && first <= 0xEF)
        return follows(1, first == 0xE0 ? 0xA0 : 0x80, first == 0xED ? 0x9F : 0xBF) && follows(2) ? 3 : 0;
    if (first >= 0xF0 && first <= 0xF4)
        return follows(1, first == 0xF0 ? 0x90 : 0x80, first == 0xF4 ? 0x8F : 0xBF) && follows(2) &&
                       follows(3)
                   ? 4
                   : 0;
    return 0;
}

/// Controls (but line end and tab) and the marks U+200E–F, U+202A–E, U+2066–9.
bool has_no_place(std::string_view point) {
    const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(point[k]); };
    if (point.size() == 1) return (byte(0) < 0x20 && point != "\n" && point != "\t") || byte(0) == 0x7F;
    if (point.size() == 2) return byte(0) == 0xC2 && byte(1) < 0xA0;
    if (point.size() != 3 || byte(0) != 0xE2) return false;
    return (byte(1) == 0x80 &&
            ((byte(2) >= 0x8E && byte(2) <= 0x8F) || (byte(2) >= 0xAA && byte(2) <= 0xAE))) ||
           (byte(1) == 0x81 && byte(2) >= 0xA6 && byte(2) <= 0xA9);
}

} // namespace

bool DocumentTable::is_marked(std::size_t row) const {
    return std::find(marked.begin(), marked.end(), static_cast<int>(row)) != marked.end();
}

std::string presentable(std::string_view text) {
    std::string out;
    out.reserve(text.size());
    while (!text.empty()) {
        const std::size_t length = sequence(text);
        const std::string_view point = text.substr(0, std::max<std::size_t>(length, 1));
        text.remove_prefix(point.size());
        out += length == 0 || has_no_place(point) ? replacement : point;
    }
    return out;
}

Prose in_place_of(const Figure& figure, std::string_view why) {
    return {fmt::format("{} could not be drawn: {}.", figure.title, why), ProseStyle::aside};
}

} // namespace lostvolts

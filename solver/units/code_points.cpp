#include "solver/units/code_points.h"

namespace lostvolts {

std::u32string code_points(std::string_view text) {
    constexpr char32_t replacement = U'\uFFFD';
    std::u32string points;
    points.reserve(text.size());
    for (std::size_t i = 0; i < text.size();) {
        const auto lead = static_cast<unsigned char>(text[i++]);
        if (lead < 0x80) {
            points += lead;
            continue;
        }
        const int more = lead >= 0xF0 && lead < 0xF5 ? 3 : lead >= 0xE0 ? 2 : lead >= 0xC2 ? 1 : 0;
        if (more == 0 || lead >= 0xF5 || text.size() - i < static_cast<std::size_t>(more)) {
            points += replacement;
            continue;
        }
        char32_t point = lead & (0x3Fu >> more);
        bool whole = true;
        for (int k = 0; k < more; ++k) {
            const auto byte = static_cast<unsigned char>(text[i + static_cast<std::size_t>(k)]);
            whole = whole && (byte & 0xC0) == 0x80;
            point = (point << 6) | (byte & 0x3F);
        }
        points += whole ? point : replacement;
        if (whole) i += static_cast<std::size_t>(more);
    }
    return points;
}

std::string utf8(std::u32string_view points) {
    std::string text;
    text.reserve(points.size());
    for (const char32_t p : points) {
        if (p < 0x80) {
            text += static_cast<char>(p);
        } else if (p < 0x800) {
            text += static_cast<char>(0xC0 | (p >> 6));
            text += static_cast<char>(0x80 | (p & 0x3F));
        } else if (p < 0x10000) {
            text += static_cast<char>(0xE0 | (p >> 12));
            text += static_cast<char>(0x80 | ((p >> 6) & 0x3F));
            text += static_cast<char>(0x80 | (p & 0x3F));
        } else {
            text += static_cast<char>(0xF0 | (p >> 18));
            text += static_cast<char>(0x80 | ((p >> 12) & 0x3F));
            text += static_cast<char>(0x80 | ((p >> 6) & 0x3F));
            text += static_cast<char>(0x80 | (p & 0x3F));
        }
    }
    return text;
}

} // namespace lostvolts

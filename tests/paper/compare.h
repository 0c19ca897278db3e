// Two pictures against one another, pixel by pixel.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <vector>

namespace lostvolts::paper_tests {

/// Red, green and blue, 0 … 255, row by row from the top.
struct PixelRows {
    int width = 0, height = 0;
    std::vector<std::uint8_t> rgb{};
};

/// How far two pictures of one size lie apart; everything at its worst when the sizes differ.
struct Apart {
    double mean = 255;  ///< of a colour channel's difference, 0 … 255
    double share = 1.0; ///< of pixels that differ by more than `plain` in some channel
};
inline constexpr int plain = 48;

inline Apart compare(const PixelRows& a, const PixelRows& b) {
    if (a.width != b.width || a.height != b.height || a.rgb.size() != b.rgb.size() || a.rgb.empty())
        return {};
    double sum = 0, differ = 0;
    for (std::size_t k = 0; k + 2 < a.rgb.size(); k += 3) {
        int most = 0;
        for (std::size_t c = k; c < k + 3; ++c) {
            const int d = std::abs(int{a.rgb[c]} - int{b.rgb[c]});
            sum += d;
            most = std::max(most, d);
        }
        differ += most > plain;
    }
    const auto channels = static_cast<double>(a.rgb.size());
    return {sum / channels, differ / (channels / 3)};
}

/// What a point release of FreeType, Cairo or Mesa may move: edges of letters and lines, by part of a pixel.
/// One line drawn in another ink, or one word more, is above it (stored_test.cpp shows that). Chosen by us:
/// the same libraries give 0 and 0.
inline bool alike(const Apart& apart) { return apart.mean <= 0.05 && apart.share <= 0.0003; }

/// Stored pictures are renewed, not compared, where this is set in the environment.
inline bool renewing() { return std::getenv("LOSTVOLTS_RENEW_PICTURES") != nullptr; }

} // namespace lostvolts::paper_tests

// One decimal number off a line of text, as fast as the digits come. What the short way can't do exactly
// (many digits, large exponents) goes to fast_float, so every result is the nearest double.
//   short way   value = m·10ᵉ with m < 2⁵³ and |e| ≤ 22: one exact product or quotient
// Source: W. Clinger, "How to read floating point numbers accurately", PLDI 1990, the fast path.
#pragma once

#include <cstdint>
#include <cstring>

#include <fast_float/fast_float.h>

namespace lostvolts {

/// Bytes past the end of a text that read_decimal() may look at (never act on).
inline constexpr std::size_t reading_slack = 16;

namespace digits {
inline constexpr double powers[23] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                      1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

inline unsigned digit(char c) { return static_cast<unsigned>(static_cast<unsigned char>(c)) - '0'; }

inline std::uint64_t load(const char* p) {
    std::uint64_t eight;
    std::memcpy(&eight, p, 8);
    return eight;
}
/// Little-endian machines only; others take the digits one by one.
inline bool eight_digits(std::uint64_t v) {
    return (((v & 0xF0F0F0F0F0F0F0F0) | (((v + 0x0606060606060606) & 0xF0F0F0F0F0F0F0F0) >> 4)) ==
            0x3333333333333333);
}
inline std::uint64_t value_of_eight(std::uint64_t v) {
    v -= 0x3030303030303030;
    v = v * 10 + (v >> 8);
    constexpr std::uint64_t mask = 0x000000FF000000FF, a = 0x000F424000000064, b = 0x0000271000000001;
    return (((v & mask) * a) + (((v >> 16) & mask) * b)) >> 32;
}
inline bool four_digits(std::uint32_t v) {
    return ((v & 0xF0F0F0F0) | (((v + 0x06060606) & 0xF0F0F0F0) >> 4)) == 0x33333333;
}
inline std::uint32_t value_of_four(std::uint32_t v) {
    v -= 0x30303030;
    v = v * 10 + (v >> 8); // pairs in bytes 0 and 2
    return (v & 0xFF) * 100 + ((v >> 16) & 0xFF);
}
inline const char* gather(const char* p, std::uint64_t& m) {
#if __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__
    if (const std::uint64_t v = load(p); eight_digits(v)) {
        m = m * 100000000 + value_of_eight(v);
        p += 8;
    }
#endif
#if __BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__
    if (const auto v = static_cast<std::uint32_t>(load(p)); four_digits(v)) {
        m = m * 10000 + value_of_four(v);
        p += 4;
    }
#endif
    while (digit(*p) < 10) m = m * 10 + digit(*p++);
    return p;
}
} // namespace digits

/// Reads a number at `p`, not beyond `end`, and gives the place after it; nullptr when there is none there or
/// it isn't finite. `point` is '.' or ','. A leading + is allowed, blanks are not.
inline const char* read_decimal(const char* p, const char* end, char point, double& value) {
    const char* const first = p;
    const bool minus = p < end && *p == '-';
    if (p < end && (*p == '-' || *p == '+')) ++p;
    const char* const start = p;
    std::uint64_t m = 0;
    while (digits::digit(*p) < 10) m = m * 10 + digits::digit(*p++); // before the point they are few
    long whole = p - start, exponent = 0;
    if (p < end && *p == point) {
        const char* const fraction = p + 1;
        p = digits::gather(fraction, m);
        exponent = fraction - p;
        whole += p - fraction;
    }
    if (whole == 0 || p > end) return nullptr;
    const bool short_way =
        whole <= 19 && m < (1ull << 53) && (p >= end || (*p | 0x20) != 'e') && exponent >= -22;
    if (short_way) {
        const double size = static_cast<double>(m) / digits::powers[-exponent];
        value = minus ? -size : size;
        return p;
    }
    const char* const from = *first == '+' ? first + 1 : first;
    const auto read = fast_float::from_chars_advanced(
        from, end, value, fast_float::parse_options(fast_float::chars_format::general, point));
    const bool finite = read.ec == std::errc{} && value - value == 0;
    return finite ? read.ptr : nullptr;
}

} // namespace lostvolts

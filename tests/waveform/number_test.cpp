#include "solver/waveform/number.h"

#include <doctest/doctest.h>

#include <cstdlib>
#include <random>
#include <string>

#include <fmt/format.h>

using namespace lostvolts;

namespace {

/// The value, and how many characters were taken; −1: none.
std::pair<double, int> read(const std::string& text, char point = '.') {
    const std::string padded = text + std::string(reading_slack, '\0');
    double value = 0;
    const char* const end = read_decimal(padded.data(), padded.data() + text.size(), point, value);
    return {value, end ? static_cast<int>(end - padded.data()) : -1};
}

} // namespace

TEST_CASE("a decimal reads as the nearest double, as the C library has it") {
    // Expected: strtod, which glibc documents as correctly rounded. Bit by bit, no tolerance. Seed 11.
    std::mt19937_64 random(11);
    MESSAGE("seed 11");
    for (int n = 0; n < 200'000; ++n) {
        const double size = std::ldexp(std::uniform_real_distribution<double>(-1, 1)(random),
                                       static_cast<int>(random() % 80) - 40);
        const int digits = static_cast<int>(random() % 20);
        const std::string text =
            random() % 3 == 0 ? fmt::format("{:.{}e}", size, digits) : fmt::format("{:.{}f}", size, digits);
        const auto [value, taken] = read(text);
        REQUIRE(taken == static_cast<int>(text.size()));
        REQUIRE_MESSAGE(value == std::strtod(text.c_str(), nullptr), text);
    }
}

TEST_CASE("a number ends where its characters end") {
    // Expected, by hand.
    CHECK(read("12.5,7") == std::pair{12.5, 4});
    CHECK(read("+3") == std::pair{3.0, 2});
    CHECK(read("-.5") == std::pair{-0.5, 3});
    CHECK(read("7.") == std::pair{7.0, 2});
    CHECK(read("12,75;1", ',') == std::pair{12.75, 5});
    CHECK(read("123456789012345678901234567890") == std::pair{123456789012345678901234567890.0, 30});
}

TEST_CASE("what is no finite number is not taken for one") {
    // Expected, by hand.
    for (const char* text : {"", "-", ".", "NaN", "nan", "inf", "-inf", "1e999", "OL", "e5"})
        CHECK_MESSAGE(read(text).second == -1, text);
}

#include <doctest/doctest.h>

#include <bit>
#include <cmath>
#include <cstdint>
#include <random>

#include "solver/units/kinds.h"

using namespace lostvolts;

namespace {

constexpr int repeats = 100000;

/// Numbers of every size: most between 1e-12 and 1e12, some short decimals, some any finite double at all.
double any_number(std::mt19937_64& random, Kind kind) {
    std::uniform_real_distribution<double> exponent(-12, 12), digits(1, 10);
    double value = 0;
    switch (random() % 4) {
    case 0: {
        value = std::bit_cast<double>(random());
        if (!std::isfinite(value)) value = 0;
        break;
    }
    case 1:
        value = std::round(digits(random) * 100) / 100 * std::pow(10.0, std::round(exponent(random) / 2));
        break;
    default:
        value = digits(random) * std::pow(10.0, exponent(random)) * (random() % 2 ? 1 : -1);
    }
    return kind == Kind::temperature ? std::abs(value) : value; // no temperature below absolute zero
}

} // namespace

TEST_CASE("every quantity that is written reads back as the same double") {
    // Expected: identity, bit for bit, over 100,000 random doubles of each kind.
    const std::uint64_t seed = 20261125;
    MESSAGE("seed " << seed);
    std::mt19937_64 random(seed);
    for (const KindInfo& kind : kinds()) {
        int wrong = 0;
        std::string first_wrong;
        for (int n = 0; n < repeats; ++n) {
            const double value = any_number(random, kind.kind);
            const std::string text = write_si(value, kind.kind);
            const Parsed<double> parsed = read_si(text, kind.kind);
            const double* back = std::get_if<double>(&parsed);
            if (back && std::bit_cast<std::uint64_t>(*back) == std::bit_cast<std::uint64_t>(value)) continue;
            if (wrong++ == 0) first_wrong = text;
        }
        INFO(kind.name << ": " << first_wrong);
        CHECK(wrong == 0);
    }
}

TEST_CASE("reading any bytes at all gives a value or an error and never an exception") {
    // Expected: the promise of text.h. Texts are random pieces of units, numbers, UTF-8 and broken UTF-8.
    const std::uint64_t seed = 20261126;
    MESSAGE("seed " << seed);
    std::mt19937_64 random(seed);
    const std::string pieces[] = {"1", "-", "e",  ".",   ",",     " ",    "m",    "ohm", "Ω",   "µ",
                                  "/", "(", ")",  "²",   "⁻¹",    "\xC3", "\xFF", "9",   "AWG", "°C",
                                  "%", "+", "sq", "deg", "count", "inf",  "*",    "^"};
    for (int n = 0; n < repeats; ++n) {
        std::string text;
        for (std::size_t k = random() % 8; k > 0; --k) text += pieces[random() % std::size(pieces)];
        const Kind kind = static_cast<Kind>(random() % kinds().size());
        const Parsed<double> parsed = read_si(text, kind);
        if (const double* value = std::get_if<double>(&parsed)) {
            REQUIRE(std::isfinite(*value));
        } else {
            const auto& error = std::get<ValueError>(parsed);
            REQUIRE_FALSE(error.what.empty());
            REQUIRE_FALSE(error.write.empty());
            REQUIRE(error.at <= text.size());
        }
        (void)read_wire_size(text);
        (void)read_accuracy(text);
    }
    CHECK(std::holds_alternative<ValueError>(read_si("5 " + std::string(100000, '('), Kind::voltage)));
    CHECK(std::holds_alternative<ValueError>(read_si(std::string(100000, '9') + " V", Kind::voltage)));
    CHECK(std::holds_alternative<double>(read_si("0." + std::string(100000, '3') + " V", Kind::voltage)));
}

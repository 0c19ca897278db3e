// The commutator's pattern, and the spectrum that it is found in.
#include "solver/waveform/revolution.h"

#include <doctest/doctest.h>

#include <atomic>
#include <cmath>
#include <numbers>
#include <random>
#include <thread>

#include <gsl/gsl_fft_real.h>

using namespace lostvolts;

namespace {

constexpr double tau = 2 * std::numbers::pi;

/// Bars one after another, each a hump of its own height, and noise; seconds for a turn.
RippleStretch ripple(const std::vector<double>& heights, double turn, double rate, double seconds,
                     double noise = 0, unsigned seed = 3) {
    RippleStretch s;
    s.step_seconds = 1 / rate;
    std::mt19937_64 random(seed);
    std::normal_distribution<double> normal;
    const auto bars = static_cast<double>(heights.size());
    for (double t = 0; t < seconds; t += 1 / rate) {
        const double bar = std::fmod(t / turn, 1.0) * bars;
        const double place = bar - std::floor(bar);
        s.values.push_back(heights[static_cast<std::size_t>(bar)] * std::pow(std::sin(0.5 * tau * place), 2) +
                           noise * normal(random));
    }
    return s;
}

} // namespace

TEST_CASE("the spectrum is that of another library's transform") {
    // Expected: gsl_fft_real_radix2_transform of GSL on the same windowed values; 1e-9 of the greatest line.
    const RippleStretch s = ripple({1, 1, 0.6, 1, 1}, 0.021, 20e3, 0.05, 0.1);
    const Spectrum ours = spectrum_of(s.values, s.step_seconds);
    const std::size_t padded = 2 * (ours.power.size() - 1), n = s.values.size();
    std::vector<double> x(padded, 0.0);
    double mean = 0, greatest = 0;
    for (const double v : s.values) mean += v / static_cast<double>(n);
    for (std::size_t k = 0; k < n; ++k)
        x[k] = (s.values[k] - mean) *
               (0.5 - 0.5 * std::cos(tau * (static_cast<double>(k) + 0.5) / static_cast<double>(n)));
    REQUIRE(gsl_fft_real_radix2_transform(x.data(), 1, padded) == 0);
    for (const double p : ours.power) greatest = std::max(greatest, p);
    for (std::size_t k = 1; k < padded / 2; ++k)
        REQUIRE(std::abs(ours.power[k] - x[k] * x[k] - x[padded - k] * x[padded - k]) < 1e-9 * greatest);
    CHECK(ours.hertz_per_line == doctest::Approx(20e3 / static_cast<double>(padded)));
}

TEST_CASE("spectra that several threads work out at once are those of one") {
    // Expected: the same to the last bit. A study analyses its captures in threads, and FFTW's planner is not
    // for several at once (its manual, "Thread safety"): unguarded, this ended in a double free.
    constexpr int threads = 4, rounds = 400;
    std::vector<RippleStretch> stretches;
    std::vector<Spectrum> alone;
    for (const double seconds : {0.004, 0.013, 0.03, 0.06}) {
        stretches.push_back(ripple({1, 0.7, 1}, 0.021, 20e3, seconds, 0.1));
        alone.push_back(spectrum_of(stretches.back().values, stretches.back().step_seconds));
    }
    std::atomic<int> different = 0;
    std::vector<std::thread> all;
    for (int t = 0; t < threads; ++t)
        all.emplace_back([&, t] {
            for (int k = 0; k < rounds; ++k) {
                const std::size_t n = static_cast<std::size_t>(t + k) % stretches.size();
                const Spectrum now = spectrum_of(stretches[n].values, stretches[n].step_seconds);
                if (now.power != alone[n].power) ++different;
            }
        });
    for (std::thread& thread : all) thread.join();
    CHECK(different == 0);
}

TEST_CASE("one low bar among others marks the turn, whatever the number of bars") {
    // Expected: the turn that the ripple was made with, 0.5 %. Seed 3.
    for (const int bars : {3, 5, 8, 12, 16, 24})
        for (const double noise : {0.0, 0.1}) {
            std::vector<double> heights(static_cast<std::size_t>(bars), 1.0);
            heights[1] = 0.5;
            const Revolution r = find_revolution(ripple(heights, 0.0187, 40e3, 0.8, noise));
            INFO(bars << " bars, noise " << noise << ": " << r.why_not);
            REQUIRE(r.revolution_seconds);
            CHECK(*r.revolution_seconds == doctest::Approx(0.0187).epsilon(0.005));
            CHECK(r.bars == bars);
            CHECK(r.uneven.size() == 1);
        }
}

TEST_CASE("bars that are all alike give the time of a bar but no turn until their number is told") {
    // Expected, by hand: 8 bars in 16 ms are 2 ms each.
    RippleStretch s = ripple(std::vector<double>(8, 1.0), 0.016, 40e3, 0.8, 0.02);
    const Revolution alone = find_revolution(s);
    CHECK(*alone.ripple_seconds == doctest::Approx(0.002).epsilon(0.002));
    CHECK_FALSE(alone.revolution_seconds);
    CHECK(alone.why_not != "");
    s.bars = 8;
    CHECK(*find_revolution(s).revolution_seconds == doctest::Approx(0.016).epsilon(0.002));
}

TEST_CASE("two uneven bars are both named, as far apart as they are") {
    // Expected, by hand: bars 1 and 4 of 8 are three apart, or five the other way round.
    const Revolution r = find_revolution(ripple({1, 0.5, 1, 1, 0.55, 1, 1, 1}, 0.02, 40e3, 0.8, 0.02));
    REQUIRE(r.uneven.size() == 2);
    CHECK((r.uneven[1].bar - r.uneven[0].bar + 8) % 8 == 3);
    CHECK(r.uneven[0].off < 0);
}

TEST_CASE("noise alone turns nothing") {
    // Expected, by definition, in 20 stretches of noise. Seeds 1 to 20.
    for (unsigned seed = 1; seed <= 20; ++seed) {
        const Revolution r = find_revolution(ripple(std::vector<double>(8, 0.0), 0.02, 20e3, 0.5, 1.0, seed));
        CHECK_FALSE(r.revolution_seconds);
    }
}

TEST_CASE("bars alike stay alike on a trend that has not quite settled") {
    // Expected, by definition: nothing marks a turn, with noise or without. Seed 3.
    for (const double noise : {0.0, 1e-6, 0.02})
        for (const double seconds : {0.2, 0.8}) {
            RippleStretch s = ripple(std::vector<double>(8, 0.3), 0.0175, 10e3, seconds, noise);
            for (std::size_t k = 0; k < s.values.size(); ++k)
                s.values[k] += 0.5 * std::exp(-static_cast<double>(k) * s.step_seconds / 0.06);
            const Revolution r = find_revolution(s);
            INFO("noise " << noise << ", " << seconds << " s");
            CHECK_FALSE(r.revolution_seconds);
            CHECK(*r.ripple_seconds == doctest::Approx(0.0175 / 8).epsilon(0.005));
        }
}

TEST_CASE("a bad bar under the noise is counted by all its teeth together or not at all") {
    // Expected: 8 bars as made, or no count with a reason, never another one; 40 stretches each. Seeds 1
    // to 40.
    std::vector<double> heights(8, 0.3);
    heights[2] = 0.24;
    for (const double noise : {0.1, 0.3, 0.6}) {
        int counted = 0;
        for (unsigned seed = 1; seed <= 40; ++seed) {
            const Revolution r = find_revolution(ripple(heights, 0.0187, 40e3, 0.8, noise, seed));
            counted += r.bars == 8;
            CHECK((!r.bars || r.bars == 8));
            CHECK((r.bars || !r.why_not.empty()));
        }
        MESSAGE("noise " << noise << ": counted in " << counted << " of 40");
        if (noise < 0.2) CHECK(counted == 40);
    }
}

TEST_CASE("an odd number of bars told gives the turn of twice as many ripples") {
    // Expected, by hand: 5 bars pass either brush by themselves, ten ripples a turn [RIP2]; 2 ms each.
    RippleStretch s = ripple(std::vector<double>(10, 1.0), 0.020, 40e3, 0.8, 0.02);
    s.bars = 5;
    const Revolution r = find_revolution(s);
    CHECK(*r.revolution_seconds == doctest::Approx(0.020).epsilon(0.002));
    CHECK(r.bars == 5);
}

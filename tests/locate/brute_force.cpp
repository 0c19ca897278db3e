#include "tests/locate/brute_force.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <numbers>

#include <gsl/gsl_monte_vegas.h>
#include <gsl/gsl_randist.h>

namespace lostvolts::testing {
namespace {

constexpr double farthest = 4.5; // standard deviations: 7e-6 of a normal lies beyond
constexpr std::size_t warming_calls = 20000, calls = 50000;
constexpr int rounds = 16;
constexpr double good_enough = 3e-3; // error of an evidence, relative
constexpr double no_matter = 5e-4;   // … and of a probability
constexpr double wrong = 0.02, turned = 0.3;

double normal_density(double off, double sigma) {
    return std::exp(-0.5 * off * off / (sigma * sigma)) / (sigma * std::sqrt(2 * std::numbers::pi));
}

double density(const BruteReading& r, double shown) {
    return (1 - wrong) * normal_density(r.value - shown, r.sigma) +
           wrong * turned * normal_density(-r.value - shown, r.sigma) + wrong * (1 - turned) / r.span;
}

/// Every number of readings foreign to the drawing is as likely, and every set of that number: the sum over
/// all sets for these parts' numbers, built up reading by reading. One foreign lies off what the sound
/// machine shows at nominal, every decade from a standard deviation to the span as likely.
double some_foreign(const BruteCircuit& c, const std::array<double, 16>& shown,
                    const std::vector<double>& foreign) {
    const std::size_t n = c.readings.size();
    std::vector<double> sum(n + 1, 0.0); // by how many are foreign
    sum[0] = 1;
    for (std::size_t r = 0; r < n; ++r)
        for (std::size_t k = r + 1; k-- > 0;) {
            sum[k + 1] += sum[k] * foreign[r];
            sum[k] *= normal_density(c.readings[r].value - shown[r], c.readings[r].sigma);
        }
    double p = 0, ways = 1; // ways: n over k
    for (std::size_t k = 0; k <= n; ++k) {
        p += sum[k] / ways / static_cast<double>(n + 1);
        ways *= static_cast<double>(n - k) / static_cast<double>(k + 1);
    }
    return p;
}

/// The density of each reading were it foreign, the standard deviation by drawing the sound parts' numbers.
std::vector<double> foreign_densities(const BruteCircuit& c, gsl_rng* random) {
    constexpr int draws = 20000;
    std::array<double, 16> nominal{}, shown{};
    c.show(c.numbers, nominal.data());
    std::vector<double> squares(c.readings.size(), 0.0), all;
    for (int k = 0; k < draws; ++k) {
        Numbers n = c.numbers;
        for (std::size_t j = 0; j < c.shares.size(); ++j)
            n[j] *= std::max(1 + c.shares[j] * gsl_ran_ugaussian(random), 1e-3);
        c.show(n, shown.data());
        for (std::size_t r = 0; r < squares.size(); ++r)
            squares[r] += std::pow(shown[r] - nominal[r], 2) / draws;
    }
    for (std::size_t r = 0; r < squares.size(); ++r) {
        const BruteReading& reading = c.readings[r];
        const double sigma = std::sqrt(squares[r] + reading.sigma * reading.sigma);
        all.push_back(1 / (2 * std::max(std::abs(reading.value - nominal[r]), sigma) *
                           (1 + std::log(reading.span / sigma))));
    }
    return all;
}

struct Integrand {
    const BruteCircuit* circuit;
    const BruteSuspect* suspect;
    std::vector<std::size_t> straying;
    bool sized;
    Numbers scratch;
    std::vector<double> foreign; // empty: the suspect's own readings, blunders among them
};

double likelihood(double* x, std::size_t, void* data) {
    auto& in = *static_cast<Integrand*>(data);
    const BruteCircuit& c = *in.circuit;
    const BruteSuspect& s = *in.suspect;
    Numbers& n = in.scratch;
    n = c.numbers;
    if (in.sized) {
        const double place = x[in.straying.size()];
        s.put(n, s.logarithmic ? s.low * std::pow(s.high / s.low, place) : s.low + (s.high - s.low) * place);
    } else {
        s.put(n, 0);
    }
    double p = 1;
    for (std::size_t k = 0; k < in.straying.size(); ++k) {
        p *= normal_density(x[k], 1);
        n[in.straying[k]] *= std::max(1 + c.shares[in.straying[k]] * x[k], 1e-3);
    }
    std::array<double, 16> shown{};
    c.show(n, shown.data());
    if (!in.foreign.empty()) return p * some_foreign(c, shown, in.foreign);
    for (std::size_t r = 0; r < c.readings.size(); ++r) p *= density(c.readings[r], shown[r]);
    return p;
}

struct Estimate {
    double value = 0, error = 0;
};

/// Until the error is good enough, or below `least`, where it no longer matters.
Estimate evidence(const BruteCircuit& c, const BruteSuspect& s, double least, gsl_rng* random,
                  std::vector<double> foreign = {}) {
    Integrand in{&c, &s, {}, s.high > s.low, {}, std::move(foreign)};
    Numbers faulty = c.numbers;
    s.put(faulty, s.high);
    for (std::size_t k = 0; k < c.shares.size(); ++k)
        if (c.shares[k] > 0 && faulty[k] != 0) in.straying.push_back(k);
    const std::size_t dimensions = in.straying.size() + (in.sized ? 1 : 0);
    std::vector<double> low(dimensions, -farthest), high(dimensions, farthest);
    if (in.sized) low.back() = 0, high.back() = 1;
    gsl_monte_function f{likelihood, dimensions, &in};
    const std::unique_ptr<gsl_monte_vegas_state, void (*)(gsl_monte_vegas_state*)> state(
        gsl_monte_vegas_alloc(dimensions), gsl_monte_vegas_free);
    double value = 0, error = 0;
    gsl_monte_vegas_integrate(&f, low.data(), high.data(), dimensions, warming_calls, random, state.get(),
                              &value, &error);
    // Plain mean of the rounds: weighting each by its own error favours those that missed the peak.
    double sum = 0, squares = 0;
    for (int k = 1; k <= rounds; ++k) {
        gsl_monte_vegas_params params;
        gsl_monte_vegas_params_get(state.get(), &params);
        params.stage = 1; // keep the grid, forget the sums
        params.iterations = 1;
        gsl_monte_vegas_params_set(state.get(), &params);
        gsl_monte_vegas_integrate(&f, low.data(), high.data(), dimensions, calls, random, state.get(), &value,
                                  &error);
        sum += value;
        squares += value * value;
        const double mean = sum / k;
        error = k > 1 ? std::sqrt(std::max(squares / k - mean * mean, 0.0) / (k - 1)) : mean;
        if (k >= 3 && error < std::max(good_enough * mean, least)) return {mean, error};
    }
    return {sum / rounds, error};
}

} // namespace

BrutePosterior brute_force(const BruteCircuit& c, unsigned long seed) {
    const std::unique_ptr<gsl_rng, void (*)(gsl_rng*)> random(gsl_rng_alloc(gsl_rng_mt19937), gsl_rng_free);
    gsl_rng_set(random.get(), seed);
    double odds = 0;
    for (const BruteSuspect& s : c.suspects) odds += s.odds;
    std::vector<Estimate> weight;
    double total = 0;
    for (const BruteSuspect& s : c.suspects) {
        const double prior = s.kind.empty() ? 0.10 : 0.88 * s.odds / odds;
        const Estimate e = evidence(c, s, no_matter * total / prior, random.get());
        weight.push_back({prior * e.value, prior * e.error});
        total += weight.back().value;
    }
    const auto sound = std::find_if(c.suspects.begin(), c.suspects.end(),
                                    [](const BruteSuspect& s) { return s.kind.empty(); });
    const Estimate unlike =
        evidence(c, *sound, no_matter * total / 0.02, random.get(), foreign_densities(c, random.get()));
    weight.push_back({0.02 * unlike.value, 0.02 * unlike.error});
    total += weight.back().value;
    BrutePosterior out;
    double spread = 0; // sum of all weights' variances, as shares
    for (const Estimate& w : weight) spread += std::pow(w.error / total, 2);
    for (const Estimate& w : weight) {
        const double p = w.value / total, own = w.error / total;
        out.probability.push_back(p);
        out.worst_error =
            std::max(out.worst_error, std::sqrt(std::pow((1 - p) * own, 2) + p * p * (spread - own * own)));
    }
    return out;
}

} // namespace lostvolts::testing

// A meter's gain, common to all its readings on one range.
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "solver/circuit/read.h"
#include "solver/locate/weighing.h"
#include "tests/locate/brute_job.h"
#include "tests/locate/random_job.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

const std::string heater = circuit_text(
    "12 V", "10 mohm",
    {{"connector", "connector", "b+", "h+", "8 mohm"}, {"heater", "heater", "h+", "b-", "1.6 ohm"}});

std::string volts(const char* red, const char* black, const char* value, const char* meter) {
    return std::string("[[reading]]\nquantity = \"voltage\"\nred = \"") + red + "\"\nblack = \"" + black +
           "\"\nvalue = \"" + value + "\"\nmeter = \"" + meter + "\"\n";
}

/// What the readings' instruments have as variance and in common.
Measured measured(const std::string& readings) {
    const auto circuit = read_circuit_text(heater, "circuit.toml");
    REQUIRE(circuit);
    const auto job = read_readings_text(
        "circuit = \"circuit.toml\"\n[[meter]]\nname = \"a\"\naccuracy = \"1 %\"\n[[meter]]\nname = "
        "\"b\"\naccuracy = \"1 %\"\n" +
            readings,
        "readings.toml", *circuit);
    for (const Problem& p : job.problems()) MESSAGE(describe(p));
    REQUIRE(job);
    const Network network = analyse(std::make_shared<const Circuit>(job->circuit));
    auto w = prepare(network, *job);
    REQUIRE(w);
    return w->measured;
}

} // namespace

TEST_CASE("volts on both sides of a joint, one meter, are trusted against each other") {
    // Expected, by hand, JCGM 100 5.2.2: u²(a − b) = u²(a) + u²(b) − 2·u(a, b). 1 % of 12 V is 69 mV as a
    // standard deviation (4.3.7); three quarters of the variance are one gain, 60 mV at 12.00 V and 59 mV at
    // 11.80 V. So 0.2 V between them have 49 mV and not 97.
    const Measured m = measured(volts("b+", "b-", "12.00 V", "a") + volts("h+", "b-", "11.80 V", "a"));
    REQUIRE(m.gain.cols() == 1);
    const double a = 0.12 / std::sqrt(3.0), b = 0.118 / std::sqrt(3.0), digit = 0.01 * 0.01 / 12;
    CHECK(m.gain(0, 0) == doctest::Approx(std::sqrt(0.75) * a).epsilon(1e-9));
    CHECK(m.variance[0] + m.gain(0, 0) * m.gain(0, 0) == doctest::Approx(a * a + digit).epsilon(1e-9));
    const double apart = m.variance.sum() + std::pow(m.gain(0, 0) - m.gain(1, 0), 2);
    CHECK(apart == doctest::Approx(a * a + b * b - 2 * 0.75 * a * b + 2 * digit).epsilon(1e-9));
    CHECK(std::sqrt(apart) == doctest::Approx(0.049).epsilon(0.01));
}

TEST_CASE("what is common to all readings of a meter adds up straight, as the Guide has it") {
    // Expected: JCGM 100 5.2.2, example: ten that were calibrated with one standard add their uncertainties,
    // and not their squares.
    std::string readings;
    for (const char* value : {"12.00 V", "12.01 V"}) readings += volts("b+", "b-", value, "a");
    const Measured m = measured(readings);
    REQUIRE(m.gain.cols() == 1);
    CHECK(std::sqrt((m.gain * m.gain.transpose()).sum()) ==
          doctest::Approx(std::sqrt(0.75 / 3) * 0.01 * 24.01).epsilon(1e-9));
}

TEST_CASE("two meters, or two ranges of one, have no gain in common") {
    // By hand: each reading keeps its own variance. The last digit tells the range.
    for (const std::string& readings : {volts("b+", "b-", "12.00 V", "a") + volts("h+", "b-", "11.80 V", "b"),
                                        volts("b+", "b-", "12.00 V", "a") + volts("b+", "h+", "0.061 V", "a"),
                                        volts("b+", "b-", "12.00 V", "a")}) {
        const Measured m = measured(readings);
        CHECK(m.gain.cols() == 0);
        CHECK(m.variance[0] == doctest::Approx(0.12 * 0.12 / 3 + 0.01 * 0.01 / 12).epsilon(1e-9));
    }
}

TEST_CASE("a random machine's meter errs alike on one range") {
    // Expected: the correlation of two readings' errors is the gain's share of the variance; drawn 4000 times
    // it strays by 1/√4000 = 0.016 at the most, of which three are allowed. Their deviation is the accuracy
    // over √3, within three of its own 1/√(2·4000).
    constexpr std::uint64_t seed = 20261126;
    constexpr int draws = 4000;
    MESSAGE("seed ", seed);
    Random r(seed);
    const Circuit circuit = *read_circuit_text(heater, "circuit.toml");
    Readings job;
    job.circuit = circuit;
    job.meters.resize(1);
    job.meters[0].accuracy = {0.01, 0};
    Reading where;
    where.meter = 0;
    where.resolution = 1e-6;
    where.red = find_point(circuit, "b+"), where.black = find_point(circuit, "b-");
    struct Case {
        MeterErrors errors;
        double correlation;
    };
    for (const Case& c : {Case{MeterErrors::even, 0.0}, Case{MeterErrors::shared, 0.75},
                          Case{MeterErrors::shared_normal, 0.75}, Case{MeterErrors::one_gain, 1.0}}) {
        double squares = 0, products = 0;
        for (int k = 0; k < draws; ++k) {
            Machine machine(circuit, {}, false, r);
            const double exact = *machine.show(0, probe_of(job, where));
            const double a = take(machine, job, where, r, c.errors)->value / exact - 1,
                         b = take(machine, job, where, r, c.errors)->value / exact - 1;
            squares += 0.5 * (a * a + b * b), products += a * b;
        }
        INFO("wanted ", c.correlation);
        CHECK(std::abs(products / squares - c.correlation) < 3 * 0.016);
        CHECK(std::sqrt(squares / draws) == doctest::Approx(0.01 / std::sqrt(3.0)).epsilon(0.034));
    }
}

// What is usual, and what is not.
#include "solver/records/baseline.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "tests/records/sample.h"

using namespace lostvolts;
using namespace lostvolts::records_tests;

TEST_CASE("middle and spread are the median and the scaled median deviation") {
    // Expected, by hand: 1 2 4 7 90: median 4; deviations 3 2 0 3 86, their median 3; 1.4826·3.
    const Usual u = usual_of("run current", {7, 1, 90, 4, 2});
    CHECK(u.middle == 4);
    CHECK(u.spread == doctest::Approx(4.4478).epsilon(1e-12));
    CHECK(u.least == 1);
    CHECK(u.most == 90);
    CHECK(usual_of("run current", {1, 2, 3, 10}).middle == 2.5);
}

TEST_CASE("of good ones one in a hundred is called unusual") {
    // Expected: the promise in baseline.h, counted on normal values; 20,000 repeats have a standard deviation
    // of 0.07 %, and between the numbers of the table the range is interpolated: a fifth is allowed besides.
    const unsigned seed = 20261125;
    MESSAGE("seed ", seed);
    std::mt19937 random(seed);
    std::normal_distribution<double> normal(100, 10);
    for (const std::size_t n : {4, 5, 7, 8, 11, 17, 25, 40, 100}) {
        int outside = 0;
        const int repeats = 20'000;
        for (int r = 0; r < repeats; ++r) {
            std::vector<double> values(n);
            for (double& v : values) v = normal(random);
            const Usual u = usual_of("run current", values);
            const double next = normal(random);
            outside += next < u.low || next > u.high;
        }
        CAPTURE(n);
        CHECK(outside / double(repeats) > 0.008 - 0.0021);
        CHECK(outside / double(repeats) < 0.012 + 0.0021);
    }
}

TEST_CASE("a bad job that was called good moves the middle little and is named") {
    // Expected: seven jobs near 9.1 A and one at 6 A; without it the median is 9.10, with it no further off
    // than the neighbour.
    const Bench bench;
    JobWords good = words("good");
    good.known = Known::good;
    for (const double amps : {9.05, 9.07, 9.09, 9.10, 9.12, 9.14, 9.16})
        bench.keep(readings_text(amps), good);
    const JobRow bad = bench.keep(readings_text(6.0), good);
    const auto baseline = baseline_of(bench.store, bad.drawing);
    REQUIRE(baseline);
    CHECK(baseline->good_jobs == 8);
    REQUIRE(baseline->usual.size() == 3);
    const Usual& run = baseline->usual[1];
    CHECK(run.what == "run current");
    CHECK(run.where == "spreader motor");
    CHECK(run.middle == doctest::Approx(9.095).epsilon(1e-9));
    CHECK(run.spread < 0.1);
    REQUIRE(run.odd.size() == 1);
    CHECK(run.odd[0].job == bad.id);
    CHECK(run.odd[0].figure.value == 6.0);
}

TEST_CASE("new readings are held against good jobs on the same circuit only") {
    // Expected, by hand: 9.1 A is as usual, 7.7 A low, 1.4 V over the ground high; a job that is not called
    // good, or on another circuit, counts for nothing.
    const Bench bench;
    JobWords good = words("good");
    good.known = Known::good;
    std::string drawing;
    for (int k = 0; k < 6; ++k)
        drawing =
            bench.keep(readings_text(9.05 + 0.02 * k, 0.029 + 0.0004 * k, 23.2 + 0.05 * k), good).drawing;
    bench.keep(readings_text(3.0), words("not said"));
    std::string other = circuit_text;
    other.replace(other.find("15 mohm"), 7, "16 mohm");
    const Bench elsewhere(other);
    JobToKeep job = elsewhere.job(readings_text(5.0), good);
    REQUIRE(add_job(bench.store, job));

    const auto baseline = baseline_of(bench.store, drawing);
    REQUIRE(baseline);
    CHECK(baseline->good_jobs == 6);
    const auto judged = judge({{"run current", "spreader motor", 9.1, "r"},
                               {"run current", "spreader motor", 7.7, "r"},
                               {"volts", "run: spreader - to battery -", 1.4, "r"},
                               {"sag", "spreader motor", 0.2, "r"}},
                              *baseline);
    CHECK(judged[0].judgement == Judgement::usual);
    CHECK(judged[1].judgement == Judgement::low);
    CHECK(judged[2].judgement == Judgement::high);
    CHECK(judged[3].judgement == Judgement::unknown);
    CHECK(judged[3].usual == nullptr);
}

TEST_CASE("three good jobs are shown and judge nothing") {
    // Expected: fewest_good_jobs.
    const Usual u = usual_of("run current", {9.0, 9.1, 9.2});
    CHECK(u.middle == 9.1);
    CHECK(u.low == u.high);
    CHECK(usual_of("speed", {}).jobs == 0);
}

TEST_CASE("good jobs that agree to the last digit leave the instruments their share") {
    // Expected, by hand: no spread at all; a clamp's 1 % (one standard deviation) of 10 A, times 2.576 and
    // the median's own doubt, sqrt(1 + 1.571/5).
    const Usual u = usual_of("run current", {10, 10, 10, 10, 10});
    CHECK(u.spread == 0);
    CHECK(u.high - 10 == doctest::Approx(0.1 * 2.576 * std::sqrt(1 + 1.571 / 5)).epsilon(1e-9));
    CHECK(10 - u.low == doctest::Approx(u.high - 10).epsilon(1e-9));
}

// Whole random jobs against brute force: bench_calibration --brute takes many more.
#include <doctest/doctest.h>

#include <algorithm>

#include "tests/locate/brute_network.h"

using namespace lostvolts::testing;

TEST_CASE("the posterior of random harnesses is that of the nonlinear network, all numbers drawn") {
    // Expected: importance sampling over sizes and healthy numbers. Each probability within 0.01, the target
    // of brute_job.h, and three standard errors of the draws. Straight-line tolerances miss it where a load
    // is far from nominal and where a motor is about to stall: one job in ten is allowed for that. A job that
    // the draws leave in doubt proves nothing. What brute force itself gives 95 % is named first.
    constexpr std::uint64_t seed = 20261126;
    constexpr int jobs = 20;
    constexpr double doubtful = 0.01;
    MESSAGE("seed ", seed);
    Random random(seed);
    int far_out = 0, sure = 0, settled = 0;
    double largest = 0;
    for (int k = 0; k < jobs; ++k) {
        const RandomJob job = small_job(random, families[static_cast<std::size_t>(k) % families.size()]);
        const BesideBrute b = beside_brute(job, random);
        if (b.error > doubtful) continue;
        INFO("job ", k, ": ", b.largest, " apart, brute force's error ", b.error);
        ++settled;
        far_out += b.largest >= 0.01 + 3 * b.error;
        largest = std::max(largest, b.largest);
        if (b.of_truth < 0.95) continue;
        ++sure;
        CHECK(b.first);
    }
    MESSAGE("of ", settled, " jobs the largest difference ", largest, "; ", far_out,
            " beyond 0.01; truth sure in ", sure);
    CHECK(settled >= 9 * jobs / 10);
    CHECK(far_out <= jobs / 10);
    CHECK(sure >= 2);
}

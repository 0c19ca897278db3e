// A smaller run of bench_calibration with a fixed seed: 300 random jobs with known answers.
#include <doctest/doctest.h>

#include <cmath>

#include "tests/locate/calibration.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

constexpr std::uint64_t seed = 20261125;
constexpr int jobs = 300;

// A share p of n strays by √(p(1 − p)/n): three of those, one chance in 370, is what a test allows.
constexpr double strays = 3;

std::vector<Judged> judged_jobs() {
    Random r(seed);
    std::vector<Judged> all;
    for (int k = 0; k < jobs; ++k) {
        JobRequest q;
        q.family = families[static_cast<std::size_t>(k) % families.size()];
        q.size = 8 + below(r, 23);
        q.readings = 3 + below(r, 10);
        q.errors = MeterErrors::shared;
        do q.truth = random_truth(r);
        while (q.truth == Truth::unmodelled); // no prior says what those are: they are benchmarked apart
        all.push_back(judge(random_job(r, q), q.family));
    }
    return all;
}

void check_share(const char* what, const Share& s, double said) {
    const double allowed = strays * std::sqrt(said * (1 - said) / s.of);
    INFO(what, ": ", s.share, " of ", s.of, ", said ", said, ", allowed ", allowed);
    CHECK(s.of >= 30);
    CHECK(std::abs(s.share - said) < allowed);
}

} // namespace

TEST_CASE("probabilities and intervals come true as often as they say") {
    // Expected: of suspects given p, a share p is right; of 50 % and 90 % intervals, those shares hold the
    // true size. Bounds: three binomial standard errors of the counts here. bench_calibration takes many more
    // jobs.
    MESSAGE("seed ", seed);
    const std::vector<Judged> all = judged_jobs();
    std::vector<const Judged*> chosen;
    double said = 0, variance = 0, right = 0;
    for (const Judged& j : all) {
        chosen.push_back(&j);
        said += j.first;
        variance += j.first * (1 - j.first);
        right += j.right;
    }
    const Calibration c = calibration_of(chosen);
    MESSAGE("first right ", c.first.share, " said ", said / jobs, "; among three ", c.three.share, "; Brier ",
            c.brier, "; ECE ", c.expected_error, " (", c.expected_by_chance, " by chance); inside 50 % ",
            c.inside_50.share, ", 90 % ", c.inside_90.share, " of ", c.inside_90.of);

    CHECK(std::abs(right - said) < strays * std::sqrt(variance));
    // The mean of ten bins' strays has a standard deviation of about a quarter of itself.
    CHECK(c.expected_error < c.expected_by_chance * (1 + strays / 4));
    check_share("50 % intervals", c.inside_50, 0.5);
    check_share("90 % intervals", c.inside_90, 0.9);
    CHECK(c.sure.of >= 20);
    CHECK(c.sure.of * c.sure.share >= c.sure_said * c.sure.of - strays * std::sqrt(c.sure.of * 0.05 * 0.95));
    // The Brier score is what these probabilities would have, were they exactly right.
    double own = 0, spread = 0;
    for (const Judged& j : all) own += j.brier_if_right, spread += j.brier_variance;
    CHECK(std::abs(c.brier * jobs - own) < strays * std::sqrt(spread));
}

// The order in which readings and parts stand in their files is nobody's finding.
#include <doctest/doctest.h>

#include <algorithm>
#include <map>

#include "solver/locate/locate.h"
#include "tests/locate/random_job.h"
#include "tests/network/times.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

/// Probability by what a suspect says, whatever the order of the list.
std::map<std::string, double> by_name(const Readings& job, const Location& found) {
    std::map<std::string, double> said;
    for (const Suspect& s : found.suspects) {
        std::vector<std::string> faults;
        for (const FoundFault& f : s.faults)
            faults.push_back(part_name(job.circuit, f.part) + ", " + std::string(name_of(f.kind)));
        std::sort(faults.begin(), faults.end());
        std::string name = s.unmodelled ? "not modelled" : "healthy";
        for (const std::string& f : faults) name += "; " + f;
        said[name] += s.probability;
    }
    return said;
}

} // namespace

TEST_CASE("readings in another order give the same suspects") {
    // Symmetry. Tolerance: 1e-6 in probability; rounding along another order of the covariance's rows.
    constexpr std::uint64_t seed = 20261130;
    MESSAGE("seed ", seed);
    Random random(seed);
    for (int k = 0; k < times(12); ++k) {
        JobRequest request;
        request.family = families[static_cast<std::size_t>(k) % families.size()];
        request.size = 10 + below(random, 8);
        request.readings = 4 + below(random, 5);
        const RandomJob job = random_job(random, request);
        Readings shuffled = job.readings;
        std::shuffle(shuffled.readings.begin(), shuffled.readings.end(), random);
        const auto one = locate(job.readings), other = locate(shuffled);
        REQUIRE(static_cast<bool>(one) == static_cast<bool>(other));
        if (!one) continue;
        const auto a = by_name(job.readings, *one), z = by_name(job.readings, *other);
        for (const auto& suspect : a) { // clang 14 takes no structured binding into CHECK_MESSAGE's lambda
            const std::string& name = suspect.first;
            const double p = suspect.second;
            const auto at = z.find(name);
            const double q = at == z.end() ? 0 : at->second;
            CHECK_MESSAGE(std::abs(p - q) < 1e-6, "job ", k, ": ", name, " ", p, " and ", q);
        }
        CHECK(one->verdict == other->verdict);
    }
}

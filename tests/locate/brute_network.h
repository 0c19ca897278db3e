// The posterior of a random job by brute force: for every single fault the size and every healthy part's
// number drawn, the nonlinear network solved with just those, and the readings' density there averaged.
//
// Nothing is linear and nothing is left out that the documents say: priors and ranges of suspects.h, each
// reading by itself sound, turned round or anything within its span (likelihood.h), and a machine not as
// drawn by unmodelled.h. The draws are sent where they matter by importance sampling: around what straight
// lines make of the readings, any one or two left out, and in one of five from the prior. Each counts by the
// density that it ought to have over the one that it was drawn with, so where the draws go decides how soon
// an answer is exact, and not what it is. A clamp's forgotten zero is left out: no job here has one. Source:
// A. B. Owen, "Monte Carlo theory, methods and examples", chapter 9 (mixture importance sampling), from
// memory.
#pragma once

#include <optional>
#include <vector>

#include "solver/locate/suspects.h"
#include "tests/locate/random_job.h"

namespace lostvolts::testing {

struct BruteShare {
    std::optional<FaultRange> fault{}; ///< none: nothing wrong, or not modelled
    bool unmodelled = false;
    double probability = 0;
    double error = 0; ///< standard, of the average
};

/// Every hypothesis, healthy first and not modelled last. Draws until each probability's standard error is
/// below `enough` or so many draws are spent. For up to six readings that are numbers, single faults.
std::vector<BruteShare> brute_network(const Readings& job, Random& random, double enough = 0.005);

/// `locate` beside it, on one job: single faults.
struct BesideBrute {
    double of_truth = 0;      ///< probability that brute force gives the truth
    bool brute_first = false; ///< the truth is brute force's first, …
    bool first = false;       ///< … and locate's
    double largest = 0;       ///< difference of a probability
    double error = 0;         ///< the largest of brute force
};
BesideBrute beside_brute(const RandomJob& job, Random& random);

/// A job for it: 8 to 15 parts, six readings, meters' errors normal as the posterior takes them.
RandomJob small_job(Random& random, Family family);

} // namespace lostvolts::testing

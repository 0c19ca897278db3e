// The posterior of a small circuit by brute force: every tolerance and the fault's size integrated by GSL's
// VEGAS, the circuit in closed form. Nothing of the program is in it but the words that name a fault.
#pragma once

#include <functional>
#include <string>
#include <vector>

namespace lostvolts::testing {

/// The numbers of a small circuit, by position; each test says which is which.
using Numbers = std::vector<double>;

/// One instrument's reading and what is known of its error.
struct BruteReading {
    double value = 0;
    double sigma = 0; ///< of a normal error
    double span = 0;  ///< over which a blunder may fall
};

/// One hypothesis. `put` sets a size into the numbers, which then stray by their shares.
struct BruteSuspect {
    std::string part, kind; ///< as the answer of `locate` names them; both empty: healthy
    double odds = 0;
    double low = 0, high = 0; ///< of the size; both 0: none
    bool logarithmic = false;
    std::function<void(Numbers&, double)> put = [](Numbers&, double) {};
};

struct BruteCircuit {
    Numbers numbers;                    ///< nominal
    Numbers shares;                     ///< standard deviation of each as a share of its value
    std::vector<BruteSuspect> suspects; ///< healthy first
    std::vector<BruteReading> readings;
    /// What ideal instruments show with these numbers.
    std::function<void(const Numbers&, double*)> show;
};

struct BrutePosterior {
    std::vector<double> probability; ///< per suspect, then of something not modelled
    double worst_error = 0;          ///< of a probability, one standard error by VEGAS
};

/// Priors: healthy 0.10, not modelled 0.02, the rest by odds (solver/locate/suspects.h). A reading is wrong
/// with share 0.02, three in ten of those with its sign turned, the rest anywhere within its span
/// (solver/locate/likelihood.h); all combinations of that are in.
BrutePosterior brute_force(const BruteCircuit& circuit, unsigned long seed);

} // namespace lostvolts::testing

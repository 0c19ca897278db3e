#include "solver/locate/goodness.h"

#include <cmath>
#include <numbers>

namespace lostvolts {

double chance_of_misfit(double chi_square, int readings) {
    if (readings <= 0 || !(chi_square > 0)) return 1;
    const double half = 0.5 * chi_square;
    const bool odd = readings % 2 != 0;
    // A sum of half the readings' terms, each the one before times x/(2·(its place)).
    double term = odd ? 2 * std::sqrt(half / std::numbers::pi) * std::exp(-half) : std::exp(-half);
    double sum = odd ? std::erfc(std::sqrt(half)) : 0;
    for (int k = odd ? 3 : 2; k <= readings; k += 2) {
        sum += term;
        term *= chi_square / k;
    }
    return sum;
}

} // namespace lostvolts

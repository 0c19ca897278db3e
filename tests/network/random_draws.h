// What every random circuit, fault and reading is drawn with: the same seed gives the same on any machine
// with this standard library. So no two draws are arguments of one call: compilers take those in an order of
// their own.
#pragma once

#include <cmath>
#include <cstdint>
#include <random>

namespace lostvolts::testing {

using Random = std::mt19937_64;

inline double uniform(Random& r, double low, double high) {
    return std::uniform_real_distribution<>(low, high)(r);
}
inline double log_uniform(Random& r, double low, double high) {
    return low * std::pow(high / low, uniform(r, 0, 1));
}
inline double normal(Random& r) { return std::normal_distribution<>()(r); }
/// 0 … n − 1.
inline int below(Random& r, int n) { return std::uniform_int_distribution<>(0, n - 1)(r); }
inline bool chance(Random& r, double share) { return uniform(r, 0, 1) < share; }

} // namespace lostvolts::testing

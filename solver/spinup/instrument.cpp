#include "solver/spinup/instrument.h"

#include <cmath>
#include <numbers>
#include <random>

namespace lostvolts {
namespace {

double uniform(std::mt19937_64& random) { // 0 < u ≤ 1
    return (static_cast<double>(random() >> 11) + 1) * 0x1p-53;
}

} // namespace

void measure(std::vector<double>& trace, double every, const MeterNumbers& meter, std::uint64_t seed) {
    if (meter.lag > 0 && !trace.empty()) {
        // y' = (x − y)/lag with x straight between samples.
        const double q = every / meter.lag, left = std::exp(-q), ramp = (1 - left) / q;
        double y = trace.front(), before = trace.front();
        for (double& x : trace) {
            const double now = x;
            y = left * y + (ramp - left) * before + (1 - ramp) * now;
            before = now;
            x = y;
        }
    }
    std::mt19937_64 random(seed);
    for (double& x : trace) {
        x += meter.offset;
        if (meter.noise > 0) // Box–Muller
            x += meter.noise * std::sqrt(-2 * std::log(uniform(random))) *
                 std::cos(2 * std::numbers::pi * uniform(random));
        if (meter.resolution > 0) x = meter.resolution * std::round(x / meter.resolution);
    }
}

} // namespace lostvolts

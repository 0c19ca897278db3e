// What a meter makes of a trace that is sampled at equal intervals: its bandwidth, offset, noise, resolution.
#pragma once

#include <cstdint>
#include <vector>

namespace lostvolts {

struct MeterNumbers {
    double offset = 0, noise = 0, resolution = 0, lag = 0; ///< the trace's SI unit; lag in seconds
};

/// In place. The lag is exact for a trace that runs straight between samples, and settled at the first.
/// Noise is Gaussian and the same for the same seed everywhere.
void measure(std::vector<double>& trace, double every_seconds, const MeterNumbers& meter, std::uint64_t seed);

} // namespace lostvolts

// The curve of a motor's start for given numbers, stepped exactly along its linearised equations. Inner
// header.
#pragma once

#include <vector>

#include "solver/waveform/start_fit.h"

namespace lostvolts {

struct CurveNumbers {
    double emf = 1, ohms = 1, inductance = 1e-4, rate = 1, run_amps = 0, friction_share = 0.3, onset = 0;
};

/// Mean current of each block.
std::vector<double> block_currents(const CurveNumbers& n, const StartData& data);

/// The highest current and when.
struct Peak {
    double amps = 0, seconds = 0;
};
Peak curve_peak(const CurveNumbers& n, const std::vector<OpenStretch>& openings, double until);

} // namespace lostvolts

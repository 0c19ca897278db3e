// The curve of a motor's start for given numbers, stepped exactly along its linearised equations. Inner
// header.
#pragma once

#include <vector>

#include "solver/waveform/start_fit.h"

namespace lostvolts {

struct CurveNumbers {
    double emf = 1, ohms = 1, inductance = 1e-4, rate = 1, run_amps = 0, onset = 0;
    double friction_share = 0.3,
           linear_share = 0; ///< of the load at the run speed; the rest goes by the square
};

/// What happens within one block. Angles in seconds of turning at the run speed, since the onset.
struct BlockMotion {
    double amps = 0;             ///< mean
    double back_emf = 0;         ///< in its middle, volts
    double begins = 0, ends = 0; ///< angle at either end
    double pace = 0;             ///< speed in its middle over the run speed
};
std::vector<BlockMotion> block_motion(const CurveNumbers& n, const StartData& data);

/// The highest current and when.
struct Peak {
    double amps = 0, seconds = 0;
};
Peak curve_peak(const CurveNumbers& n, const std::vector<OpenSpan>& openings, double until);

} // namespace lostvolts

// The start of a motor fitted to its capture by least squares: source, wiring up to the probe, winding, and
// how fast it speeds up.
//   circuit   E = (R_up + R_down)·i + e + L·di/dt          volts; the probe shows E − R_up·i
//   shaft     de/dt = a·(i − I_run·(s + u·x + (1 − s − u)·x²)),  x = e/e_run      a = k²/J, e = k·ω the
//             back emf; the load's shares: s at any speed, u in proportion, the rest by the square. Less
//             than none in proportion stands for a load that grows faster than the square.
//   bars      i − i·z_R − e·z_k/R       z: what resistance and constant are off under the bar that passes
// Held for: a contact that opens at known times, where i = 0 meanwhile; the brush drop is in R_down.
// Without volts E is counted as 1 and R_up as 0: then 1/R_down is the stall current, and a·R_down the rate.
//
// The true current strays from the curve (bars too quick to follow, what no lumped model holds), and amperes
// and volts see the same straying, each with noise of its own. So the volts are held against
// R_up·(curve + w·(amperes − curve)), w the share of the straying in what the amperes are off: a clean
// capture's volts go with its amperes whatever the motor does, a noisy one's with the curve.
// Intervals: the curvature of the misfit, averaged over how the running ripple may be shared by resistance
// and constant, each share weighted by its evidence (marginal likelihood, Gaussian about the answer).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/waveform/start.h"

namespace lostvolts {

/// Several samples in a row as one: times in seconds since the onset found.
struct FitBlock {
    double first = 0; ///< of its first sample
    int samples = 1;
    double step = 0;                 ///< between its samples
    double amps = 0, amps_sigma = 0; ///< of the instrument's noise; negative: not used
    double volts = 0, volts_sigma = 0;
    double ripple_amps = 0; ///< the current's straying when the bars in it are not followed
    double model_amps = 0;  ///< and what it strays anyhow

    bool has_amps() const { return amps_sigma >= 0; }
    bool has_volts() const { return volts_sigma >= 0; }
};

/// The commutator's ripple while the motor runs.
struct BarRipple {
    double hertz = 0;
    double amps = 0;  ///< standard deviation of the current by it
    int per_turn = 0; ///< 0: not known
};

struct StartData {
    std::vector<FitBlock> blocks;
    std::vector<OpenSpan> openings;      ///< seconds since the onset
    std::optional<double> resting_volts; ///< emf seen before the start, with its sigma
    double resting_sigma = 0;
    double onset_sigma = 0;                                                              ///< seconds
    double peak_amps = 0, run_amps = 0, run_volts = 0, time_constant = 0, rise_time = 0; ///< first guesses
    bool has_volts = false;
    std::optional<BarRipple> ripple;
};

/// A number with its standard deviation.
struct Spread {
    double value = 0, sigma = 0;
};

struct StartFit {
    Spread emf, upstream_ohms, downstream_ohms, inductance, onset, run_amps, stall_amps, sag_volts;
    Spread rate;               ///< a = k²/J, V/(A·s) — without volts per E
    Spread mechanical_seconds; ///< R_down/a
    Spread log_inductance;     ///< its sigma says whether the rise was seen at all
    Spread peak_amps;          ///< of the curve and the bars that pass then
    double peak_seconds = 0;
    double misfit_share = 0; ///< rms of the current left over, smoothed, as a share of the peak
    int rounds = 0;
    bool converged = false;
};

/// Nothing when the blocks can't settle the parameters.
std::optional<StartFit> fit_start(const StartData& data);

} // namespace lostvolts

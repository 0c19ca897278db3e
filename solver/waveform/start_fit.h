// The start of a motor fitted to its capture by least squares: source, wiring up to the probe, winding, and
// how fast it speeds up.
//   circuit   E = (R_up + R_down)·i + e + L·di/dt          volts; the probe shows E − R_up·i
//   shaft     de/dt = a·(i − I_run·(s + (1 − s)·(e/e_run)²))      a = k²/J, e = k·ω the back emf
// Held for: a contact that opens at known times, where i = 0 meanwhile; the brush drop is in R_down.
// Without volts E is counted as 1 and R_up as 0: then 1/R_down is the stall current, and a·R_down the rate.
// Weights from each block's noise; intervals from the curvature of the misfit, widened for what the model
// leaves over (ripple) by the sum over neighbouring blocks (Newey and West, Econometrica 55, 1987).
#pragma once

#include <array>
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
    double amps = 0, amps_sigma = 0; ///< sigma 0: not used
    double volts = 0, volts_sigma = 0;
};

struct StartData {
    std::vector<FitBlock> blocks;
    std::vector<OpenStretch> openings;   ///< seconds since the onset
    std::optional<double> resting_volts; ///< emf seen before the start, with its sigma
    double resting_sigma = 0;
    double onset_sigma = 0;                                                              ///< seconds
    double peak_amps = 0, run_amps = 0, run_volts = 0, time_constant = 0, rise_time = 0; ///< first guesses
    bool has_volts = false;
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
    double peak_amps = 0;      ///< of the fitted curve
    double peak_seconds = 0;
    double misfit_share = 0; ///< rms of the current left over, smoothed, as a share of the peak
    int rounds = 0;
    bool converged = false;
};

/// Nothing when the blocks can't settle the parameters.
std::optional<StartFit> fit_start(const StartData& data);

/// A level that is approached exponentially, value = end + (begin − end)·exp(−(t − t₀)/τ), by least squares.
struct Approach {
    Spread begin, end, seconds;
    double rms = 0;
};
std::optional<Approach> fit_approach(const std::vector<double>& seconds, const std::vector<double>& values);

} // namespace lostvolts

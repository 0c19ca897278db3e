// A motor's start as an instrument records it, made without anything from solver/: the motor's equations by
// the classical Runge–Kutta method at a fine fixed step, then the instrument's faults. Inner means for the
// tests of the waveform room; the truth of every feature comes beside.
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "solver/waveform/capture.h"

namespace lostvolts::waveform_tests {

struct Machine {
    double emf = 12.6, upstream = 0.040,
           wiring = 0.015; ///< volts; ohms up to the probe, ohms from it to the motor
    double winding = 0.435, inductance = 0.35e-3;
    double constant = 0.0239; ///< V·s/rad: 9 A at 3000 rpm or so
    double inertia = 6.5e-5;
    double run_amps = 9, run_speed = 340; ///< what the load is made from: torque = k·9 A at 340 rad/s
    double friction_share = 0.2, linear_share = 0; ///< of it; the rest grows with the square of the speed
    int bars = 8;
    double ripple = 0.01,
           constant_ripple = 0.03; ///< of the winding's resistance and of the constant, bar by bar
    double worn_bar_ohms = 0;      ///< in series while bar 3 is under the brush
    std::vector<std::pair<double, double>> open; ///< after the contact closes: from, to

    /// From the probe on: the mean over a turn.
    double downstream() const { return wiring + winding + worn_bar_ohms / bars; }
};

struct Instrument {
    double rate = 20e3; ///< samples a second
    double before = 0.12,
           after = 0.9; ///< seconds recorded before and after the contact closes; negative before: late
    double noise = 0;   ///< standard deviation, of the greatest amperes and volts
    double hum_amps = 0, hum_volts = 0, hum_hertz = 50;
    double clamp_zero = 0;
    bool reversed = false;
    double amps_range = 1e9, volts_low = -1e9;
    double bandwidth = 1e9;     ///< hertz, of the clamp: first order
    bool behind_switch = false; ///< the probe reads the motor's side of the contact
    double off_after = 1e9;     ///< seconds after the start
    std::uint64_t seed = 1;
};

struct Truth {
    double peak = 0, run = 0, stall = 0, resting = 0, sag = 0, run_volts = 0, speed = 0; ///< speed: rad/s
};

Capture simulate(const Machine& machine, const Instrument& instrument, Truth* truth = nullptr);

/// The capture as CSV, with so many significant digits.
std::string csv_of(const Capture& capture, int digits = 6);

} // namespace lostvolts::waveform_tests

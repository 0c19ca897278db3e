// Where the motor is switched on and off in a capture, which way the clamp was put on, and where the contact
// opened again after it had closed.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "solver/waveform/overview.h"

namespace lostvolts {

/// One start, in samples of the capture.
struct Start {
    double on = 0;         ///< where the contact closes, between two samples
    std::size_t quiet = 0; ///< since when it was off before: [quiet, on) shows the resting level
    std::size_t off = 0;   ///< where it is switched off again, or the end of the capture
};

struct Starts {
    std::vector<Start> all;
    double direction = 1; ///< −1: the channel goes down at a start
    double level_off = 0; ///< the channel's resting level before the first start
};

/// Starts of one channel. Its greatest sudden change is a start; every change at least half as great, from
/// the resting level and the same way, is another. None when no change stands out of the noise.
Starts find_starts(std::span<const double> samples, double step_seconds);

struct OpenStretch {
    double from = 0, to = 0; ///< samples
};
/// Stretches within `span` samples after the start in which the corrected current (rising, zero at rest)
/// falls to nearly nothing and comes back.
std::vector<OpenStretch> find_openings(std::span<const double> current, std::size_t from, std::size_t span,
                                       double noise);

} // namespace lostvolts

// One channel of a capture with what is known of its clean-up, handed out in windows. Inner header.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "solver/waveform/clean.h"
#include "solver/waveform/overview.h"

namespace lostvolts {

struct Channel {
    std::span<const double> samples; ///< as recorded; empty: no such channel
    double step = 0;                 ///< seconds
    double zero = 0, direction = 1;  ///< clean value = direction·(sample − zero − hum)
    bool zero_known = false;
    double rest = 0;           ///< clean level before the start
    std::size_t rest_over = 0; ///< samples that it is the mean of; 0: not seen
    double noise = 0;          ///< standard deviation of one sample
    std::vector<HumLine> hum;
    std::optional<Rail> top, bottom;

    bool there() const { return !samples.empty(); }
    double clean(double sample, double place) const;
    /// Clean samples [first, last), averaged down to at most `most`.
    Window window(std::size_t first, std::size_t last, std::size_t most) const;
    bool at_rail(double sample) const;
};

/// Looks at the quiet stretch [first, last) of a channel, and for rails in [first, end) of it.
/// A current's level there is its zero, a voltage's is its resting level.
void study(Channel& channel, bool current, std::size_t first, std::size_t last, std::size_t end);

} // namespace lostvolts

// How fast a motor turns, from the ripple of its commutator: the pattern that repeats is the revolution, the
// bars are its steps. Bars that are all alike repeat each bar; then the revolution can't be told from the
// ripple alone.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace lostvolts {

/// A steady stretch, long against a revolution.
struct RippleStretch {
    std::vector<double> values;
    double step_seconds = 0;
    std::vector<double> not_these; ///< Hz: hum and its multiples
    std::optional<int> bars;       ///< known bars
};

struct UnevenStep {
    int bar = 0;       ///< from 0 in the order they pass
    double off = 0;    ///< from the middle of all bars, in the stretch's unit
    double spread = 0; ///< its standard deviation
};

struct Revolution {
    std::optional<double> ripple_seconds; ///< of one bar
    std::optional<double> revolution_seconds;
    std::optional<int> bars;
    std::vector<UnevenStep> uneven; ///< greatest first
    std::string why_not;            ///< no revolution: the reason
};

Revolution find_revolution(const RippleStretch& stretch);

/// Power of each frequency k/(n·step), k = 0 … n/2, of the values times a Hann window; n is the padded
/// length.
struct Spectrum {
    std::vector<double> power;
    double hertz_per_line = 0;
    double lines_per_width = 0; ///< of the window's main lobe, half of it
};
Spectrum spectrum_of(const std::vector<double>& values, double step_seconds);

} // namespace lostvolts

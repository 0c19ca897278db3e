// What is in a capture and not in the circuit: the clamp's zero, mains hum, and samples that stand at the end
// of the instrument's range.
#pragma once

#include <complex>
#include <optional>
#include <span>
#include <vector>

namespace lostvolts {

struct HumLine {
    double hertz = 0;
    double cosine = 0, sine = 0; ///< of 2π·f·t, t counted in seconds from the capture's first sample
    double amplitude() const;
    double at(double seconds) const;
};
/// Mains hum in a stretch where nothing else happens: 50 or 60 Hz and its double, each kept when it stands
/// out of the noise and is no smaller than `least`. Wants at least one and a half periods.
std::vector<HumLine> find_hum(std::span<const double> quiet, double first_seconds, double step_seconds,
                              double least = 0);

/// A level at which samples stand because the instrument's range ends there.
struct Rail {
    double level = 0;
    std::size_t first = 0;
    std::size_t longest = 0; ///< samples in a row
};
/// The rail at the top of the samples, or at their bottom. A peak that merely rounds off is none: it passes
/// several neighbouring values on its way, a rail is left for values well below at once.
std::optional<Rail> find_rail(std::span<const double> samples, bool top, double extreme, double range);

} // namespace lostvolts

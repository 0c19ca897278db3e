// The lines of a spectrum and the comb they stand in: the one frequency of which all are multiples. Inner
// header.
#pragma once

#include <optional>
#include <vector>

#include "solver/waveform/revolution.h"

namespace lostvolts {

struct SpectrumLine {
    double hertz = 0;
    double power = 0;
    double over_floor = 0; ///< power over the noise around it
};

/// Lines that stand out of the noise around them, strongest first, 60 at most; none near a frequency to be
/// left alone, none below `lowest` hertz.
std::vector<SpectrumLine> find_lines(const Spectrum& spectrum, double lowest,
                                     const std::vector<double>& leave_alone);

struct Comb {
    double hertz = 0;               ///< its first tooth
    std::vector<double> tooth;      ///< power at tooth h, from h = 1 (index 0)
    std::vector<double> over_floor; ///< of the line on that tooth; 0: none stands out
    double explained = 0;           ///< share of the lines' power that stands on teeth
};
/// The coarsest comb that holds the lines: a finer one would hold more by chance, and pays for it.
std::optional<Comb> find_comb(const std::vector<SpectrumLine>& lines, const Spectrum& spectrum,
                              double lowest);

/// How many ripples make a turn, from all teeth of the turn together: 2·N teeth at multiples of
/// ripple_hertz/N that are no multiples of the ripple's own. Under noise alone K of them sum to a gamma
/// variable; the N whose sum is least likely to come by chance is taken, when its chance is below e⁻²⁰ and no
/// other number comes within e⁵ of it.
std::optional<int> ripples_in_turn(const Spectrum& spectrum, double ripple_hertz, double lowest,
                                   const std::vector<double>& leave_alone);

} // namespace lostvolts

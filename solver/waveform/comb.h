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
    double hertz = 0;             ///< its first tooth
    std::vector<double> tooth;    ///< power at tooth h, from h = 1 (index 0)
    std::vector<bool> stands_out; ///< of the noise, tooth by tooth
    double explained = 0;         ///< share of the lines' power that stands on teeth
};
/// The coarsest comb that holds the lines: a finer one would hold more by chance, and pays for it.
std::optional<Comb> find_comb(const std::vector<SpectrumLine>& lines, const Spectrum& spectrum,
                              double lowest);

} // namespace lostvolts

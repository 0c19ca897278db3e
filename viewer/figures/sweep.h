// One or more quantities against another: how the current falls while a joint corrodes, how the drop grows
// with length. Axes may be logarithmic; limits are drawn as lines with their words.
#pragma once

#include <string>
#include <vector>

#include "viewer/figures/axis.h"

namespace lostvolts {

struct SweepCurve {
    std::string name;
    std::vector<double> x, y;
    Ink ink = Ink::predicted;
    Dash dash = Dash::solid;
    double width = 2;
};

/// Between two curves over the same x.
struct SweepBand {
    std::string name;
    std::vector<double> x, low, high;
    Ink ink = Ink::predicted;
};

struct SweepLine {
    double at = 0;
    bool upright = false; ///< at an x, else at a y
    std::string words;
    Ink ink = Ink::limit;
};

struct SweepMark {
    double x = 0, y = 0;
    std::string words;
    Ink ink = Ink::measured;
};

struct SweepView {
    std::string title, says;
    Axis x, y; ///< where low is not below high the range is that of the curves
    std::vector<SweepCurve> curves;
    std::vector<SweepBand> bands;
    std::vector<SweepLine> lines;
    std::vector<SweepMark> marks;
    double width = 720, height = 420;
};

Figure sweep_figure(const SweepView& view);

} // namespace lostvolts

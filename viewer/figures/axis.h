// Axes: nice numbers, SI prefixes, linear or logarithmic, and the frame that curves are drawn into.
#pragma once

#include <string>
#include <vector>

#include "viewer/figures/figure.h"

namespace lostvolts {

/// What runs along an axis. Values are in `unit` without a prefix; V, A, W, s, Ω and Hz get one where that
/// makes shorter numbers.
struct Axis {
    std::string name;
    std::string unit;
    double low = 0, high = 1;
    bool logarithmic = false;
    std::string title() const; ///< "current, mA"
};

struct Tick {
    double at = 0;
    std::string text; ///< without the unit; empty for a lesser tick of a logarithmic axis
};

/// At steps of 1, 2 or 5 times a power of ten, about `wanted` of them, within low … high. Logarithmic: each
/// decade, and 2 and 5 where there is room.
std::vector<Tick> ticks(const Axis& axis, int wanted);
/// The axis with its ends moved outward to the next tick.
Axis rounded_out(Axis axis, int wanted);
/// 1e-3 and "m" for what is best told in thousandths; 1 and "" for a unit that takes no prefix.
struct Prefix {
    double size = 1;
    std::string_view text;
};
Prefix prefix_of(const Axis& axis);

/// A rectangle of the picture with a value along each side.
struct Frame {
    Position low, high; ///< top left and bottom right
    Axis x, y;
    double x_at(double value) const;
    double y_at(double value) const; ///< upward
    Position at(double x_value, double y_value) const { return {x_at(x_value), y_at(y_value)}; }
};

/// Grid, ticks with their numbers, and titles. Room that they take outside the frame: 34 points below (22
/// without a title), 44 to the left.
void draw_axes(Figure& figure, const Frame& frame, double type_size = 9);

/// A curve, thinned to what can be seen (lowest and highest of each column of a point), cut at the frame and
/// broken where a value is not finite.
void draw_curve(Figure& figure, const Frame& frame, const std::vector<double>& x,
                const std::vector<double>& y, Ink ink, double width = 1.5, Dash dash = Dash::solid);

} // namespace lostvolts

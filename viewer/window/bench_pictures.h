// The pictures of the Bench, made of what the session knows.
#pragma once

#include "viewer/figures/figure.h"
#include "viewer/figures/loop.h"
#include "viewer/figures/traces.h"
#include "viewer/window/entry.h"
#include "viewer/window/kept_sketch.h"
#include "viewer/window/session.h"

namespace lostvolts {

/// The circuit as drawn, in a state: predicted and measured, the leading suspect, the proposed reading, and
/// the leads as far as they are typed.
Figure bench_drawing(const Session& session, const TypedReading& typed, const Sketch& sketch, double width,
                     double height);
/// One of that size that says what is still being done, if anything.
Figure nothing_yet(double width, double height, const std::string& doing = {});
/// Volts along the way of the current, predicted and measured.
Figure bench_staircase(const Session& session, int state, double width, double height);

/// The figure made as large as all of it fits into a room, in the middle of it.
Figure fitted_to(Figure figure, double width, double height);
/// The drawing, all of it, in a room. Where its letters would be too small to be read, they are larger and
/// there are fewer: names, volts and what is marked stay.
Figure fitted_drawing(const Circuit& circuit, const Sketch& sketch, LoopView view, double width,
                      double height);
/// A table made as wide as the room; it may stand out below, and is then moved.
Figure fitted_across(Figure figure, double width, double height);

/// The size at which a figure is laid out for a room: the room's own, or of its proportions and no smaller
/// than its words need.
struct Extent {
    double width = 0, height = 0;
};
Extent natural_extent(double width, double height, double least_width, double least_height);
inline constexpr double least_stairs_wide = 560, least_stairs_high = 390;

/// Panels of such a height that all of them fill the room.
Figure fitted_traces(TracesView view, double width, double height);
/// How large the drawing of a circuit would be in a room; 1 is its natural size, 0 a large circuit's.
double drawing_fit(const Circuit& circuit, double width, double height);

} // namespace lostvolts

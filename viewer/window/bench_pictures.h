// The pictures of the Bench, made of what the session knows.
#pragma once

#include "viewer/figures/figure.h"
#include "viewer/figures/sketch.h"
#include "viewer/figures/traces.h"
#include "viewer/window/entry.h"
#include "viewer/window/session.h"

namespace lostvolts {

/// Where everything of a circuit lies, kept while circuit and room are the same: with many parts that takes
/// longer than a frame may.
struct KeptSketch {
    int version = -1; ///< of the circuit
    double aspect = 0;
    Sketch sketch;
};
const Sketch& sketch_for(KeptSketch& kept, const Circuit& circuit, int version, double width, double height);

/// The circuit as drawn, in a state: predicted and measured, the leading suspect, the proposed reading, and
/// the leads as far as they are typed.
Figure bench_drawing(const Session& session, const TypedReading& typed, KeptSketch& kept, double width,
                     double height);
/// Volts along the way of the current, predicted and measured.
Figure bench_staircase(const Session& session, int state, double width, double height);

/// The figure made to fit a room, its letters no smaller than can be read: it may then stand out, and is
/// panned.
/// In the middle of it, or at its top.
Figure fitted_to(Figure figure, double width, double height, bool in_the_middle = true);

/// Panels of such a height that all of them fill the room.
Figure fitted_traces(TracesView view, double width, double height);
/// How large the drawing of a circuit would be in a room; 1 is its natural size.
double drawing_fit(const Circuit& circuit, double width, double height);

} // namespace lostvolts

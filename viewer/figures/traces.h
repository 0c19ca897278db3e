// Currents and voltages against time: a recorded start with its features marked where they were read, beside
// a predicted one or other captures, all aligned on the start.
#pragma once

#include <string>
#include <vector>

#include "solver/spinup/spinup.h"
#include "solver/waveform/waveform.h"
#include "viewer/figures/figure.h"

namespace lostvolts {

struct Trace {
    std::string name;
    std::vector<double> seconds, values; ///< SI
    Ink ink = Ink::measured;
    Dash dash = Dash::solid;
};

/// Something read from a trace, at its place: a spot, a level that is kept, or a stretch of time.
struct TraceFeature {
    enum class Sort { spot, level, stretch, moment };
    Sort sort = Sort::spot;
    double from = 0, to = 0; ///< seconds
    double value = 0;        ///< of a spot or a level
    std::string words;
};

/// The traces of one quantity, over a time axis that all panels share.
struct TracePanel {
    std::string name, unit; ///< "current", "A"
    std::vector<Trace> traces;
    std::vector<TraceFeature> features;
};

struct TracesView {
    std::string title, says;
    std::vector<TracePanel> panels;
    double from = 0, to = 1; ///< seconds shown
    std::string time_name = "time since the start";
    double width = 900, panel_height = 210;
};

Figure traces_figure(const TracesView& view);

/// A capture with what was read from it; time counts from its start, a clamp's zero is taken off and one that
/// was on backwards is turned.
TracesView traces_of(const Capture& capture, const Waveform& waveform);
/// A further capture, aligned on its own start.
void add_capture(TracesView& view, const Capture& capture, const Waveform& waveform, const std::string& name);

/// One probe of a predicted start, as a trace; time counts from `closing`.
Trace trace_of(const SpinUp& run, std::size_t column, Time<> closing, std::string name, double factor = 1);

} // namespace lostvolts

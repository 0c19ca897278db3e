#include "viewer/window/recorded.h"

#include <algorithm>
#include <exception>

#include "solver/lesson/stand.h"

namespace lostvolts {
namespace {

/// The predicted start of the stand's load, in the panels that the capture has.
void add_predicted(TracesView& view, const Stand& stand, const std::vector<Fault>& faults, const char* name,
                   Ink ink, Dash dash) {
    SpinUpRequest request;
    request.state = stand.run;
    request.faults = faults;
    request.duration = from_si<Time<>>(std::clamp(view.to + si(request.closing), 0.05, 3.0));
    request.every = request.duration / 2000.0;
    request.account = false;
    request.tolerance = 1e-3;
    request.probes = {{ProbeKind::current, none, none, stand.load},
                      {ProbeKind::voltage, stand.high, stand.low, none}};
    const auto run = spin_up(stand.network, request);
    if (!run) return;
    for (TracePanel& panel : view.panels) {
        const std::size_t column = panel.unit == "A" ? 0 : 1;
        Trace trace = trace_of(*run, column, request.closing, name);
        trace.ink = ink;
        trace.dash = dash;
        panel.traces.push_back(std::move(trace));
    }
}

void look(Recorded& r, const std::string& clamp, const Circuit& circuit, const std::vector<Fault>& suspected,
          const Watch& watch) {
    CaptureOptions options;
    options.clamp = clamp;
    const auto capture = read_capture(r.path, options);
    if (!capture) return void(r.problems = capture.problems());
    const auto waveform = analyse(*capture);
    if (!waveform) return void(r.problems = waveform.problems());
    r.cautions = waveform->cautions;
    r.view = traces_of(*capture, *waveform);
    if (watch.stopped()) return;
    const auto stand = put_on_stand(circuit);
    if (!stand) return; // the capture is shown alone
    add_predicted(*r.view, *stand, {}, "predicted, healthy", Ink::predicted, Dash::dashed);
    if (!suspected.empty())
        add_predicted(*r.view, *stand, suspected, "predicted, suspect", Ink::suspect, Dash::dotted);
}

} // namespace

Recorded look_at_capture(const std::string& path, const std::string& clamp, const Circuit& circuit,
                         const std::vector<Fault>& suspected, const Watch& watch) {
    Recorded r;
    r.path = path;
    try {
        look(r, clamp, circuit, suspected, watch);
    } catch (const std::exception& slip) {
        r.problems.push_back({"", {}, std::string("a slip of the program's own: ") + slip.what(), "", ""});
    }
    return r;
}

} // namespace lostvolts

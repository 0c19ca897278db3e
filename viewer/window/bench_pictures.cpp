#include "viewer/window/bench_pictures.h"

#include <algorithm>

#include "viewer/figures/loop.h"
#include "viewer/figures/shapes.h"
#include "viewer/figures/staircase.h"

namespace lostvolts {
namespace {

const StatePrediction* prediction_of(const std::vector<std::optional<StatePrediction>>& states, int state) {
    const auto s = static_cast<std::size_t>(state);
    return s < states.size() && states[s] ? &*states[s] : nullptr;
}

} // namespace

Figure fitted_to(Figure figure, double width, double height, bool in_the_middle) {
    constexpr double least = 0.66, most = 1.5; // smaller letters can't be read, larger ones look lost
    if (figure.width <= 0 || figure.height <= 0) return figure;
    const double fit = std::min(width / figure.width, height / figure.height);
    scale_by(figure, std::clamp(fit, least, most));
    move_by(figure, {std::max(0.0, (width - figure.width) / 2),
                     in_the_middle ? std::max(0.0, (height - figure.height) / 2) : 0.0});
    figure.width = std::max(width, figure.width);
    figure.height = std::max(height, figure.height);
    return figure;
}

Figure fitted_traces(TracesView view, double width, double height) {
    constexpr double head_and_foot = 130, least_panel = 110;
    const auto panels = static_cast<double>(std::max<std::size_t>(view.panels.size(), 1));
    view.width = width;
    view.panel_height = std::max((height - head_and_foot) / panels - 16, least_panel);
    return fitted_to(traces_figure(view), width, height);
}

double drawing_fit(const Circuit& circuit, double width, double height) {
    const Sketch s = sketch(circuit, width / std::max(height, 1.0));
    constexpr double edge = 14, heading = 34;
    return std::min(width / (s.width + edge), height / (s.height + heading));
}

const Sketch& sketch_for(KeptSketch& kept, const Circuit& circuit, int version, double width, double height) {
    const double aspect = width / std::max(height, 1.0);
    if (kept.version != version || kept.aspect != aspect) kept = {version, aspect, sketch(circuit, aspect)};
    return kept.sketch;
}

Figure bench_drawing(const Session& session, const TypedReading& typed, KeptSketch& kept, double width,
                     double height) {
    const Findings& f = session.findings();
    const Circuit& c = session.circuit();
    LoopView view;
    const bool current = f.job == session.job();
    if (current && f.location) view = view_of(*f.job, *f.location, prediction_of(f.healthy, typed.state));
    view.state = typed.state;
    view.notes.clear();
    view.heading = "state " + c.states[static_cast<std::size_t>(typed.state)].name;
    ShownReading leads;
    leads.ink = Ink::measured;
    leads.red = find_point(c, typed.red);
    leads.black = find_point(c, typed.black);
    leads.clamp = between_two_points(typed.quantity) ? none : find_part(c, typed.through);
    if (leads.red != none || leads.black != none || leads.clamp != none) view.readings = {leads};
    return fitted_to(loop_figure(c, sketch_for(kept, c, session.circuit_version(), width, height), view),
                     width, height);
}

Figure bench_staircase(const Session& session, int state, double width, double height) {
    const Findings& f = session.findings();
    const Circuit& c = session.circuit();
    Figure empty;
    empty.width = width;
    empty.height = height;
    const StatePrediction* healthy = prediction_of(f.healthy, state);
    if (!f.job || !healthy || f.healthy.size() != c.states.size()) return empty;
    const StatePrediction* suspected = prediction_of(f.suspected, state);
    const LoopView seen = f.location ? view_of(*f.job, *f.location, healthy) : LoopView{};
    const PartId suspect = seen.suspects.empty() ? none : seen.suspects.front().part;
    const CurrentPath path =
        path_through(c, suspect == none ? main_load(c, *healthy) : load_behind(c, *healthy, suspect));
    if (path.parts.empty()) return empty;
    StaircaseView view;
    constexpr double leads = 0.5; // less likely, its volts would only confuse
    const bool faulty = suspected && f.location && !f.location->suspects.front().faults.empty() &&
                        f.location->suspects.front().probability >= leads;
    view.prediction = faulty ? suspected : healthy;
    view.healthy = faulty ? healthy : nullptr;
    view.suspects = seen.suspects;
    view.measured = measured_drops(*f.job, state);
    const std::vector<Fault> faults = faulty ? faults_of(f.location->suspects.front()) : std::vector<Fault>{};
    view.bands = tolerance_bands(analyse(std::make_shared<const Circuit>(c)), state, faults, path);
    view.heading = "state " + c.states[static_cast<std::size_t>(state)].name;
    view.width = width;
    view.height = height;
    return fitted_to(staircase_figure(c, path, view), width, height);
}

} // namespace lostvolts

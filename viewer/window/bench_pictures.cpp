#include "viewer/window/bench_pictures.h"

#include <algorithm>
#include <utility>

#include "viewer/figures/loop.h"
#include "viewer/figures/shapes.h"
#include "viewer/figures/staircase.h"

namespace lostvolts {
namespace {

constexpr double drawing_edge = 14, drawing_head = 42; // beside and above what is placed
constexpr double most_enlarged = 1.5;                  // larger letters look lost

const StatePrediction* prediction_of(const std::vector<std::optional<StatePrediction>>& states, int state) {
    const auto s = static_cast<std::size_t>(state);
    return s < states.size() && states[s] ? &*states[s] : nullptr;
}

} // namespace

Figure nothing_yet(double width, double height, const std::string& doing) {
    Figure figure;
    figure.width = width;
    figure.height = height;
    if (!doing.empty())
        figure.shapes.push_back(words({width / 2, height / 2}, doing, 10, Ink::quiet, Align::middle));
    return figure;
}

Figure fitted_to(Figure figure, double width, double height) {
    if (figure.width <= 0 || figure.height <= 0) return figure;
    scale_by(figure, std::min({width / figure.width, height / figure.height, most_enlarged}));
    move_by(figure, {(width - figure.width) / 2, (height - figure.height) / 2});
    figure.width = width;
    figure.height = height;
    return figure;
}

Figure fitted_drawing(const Circuit& circuit, const Sketch& sketch, LoopView view, double width,
                      double height) {
    // Pixels at 100 %, of a name's type; common practice, no source. At 9 the drawing is as it is on paper.
    constexpr double plain_enough = 9, wanted = 10.5, natural = 9 * 1.3;
    const double letters =
        natural * std::min(width / (sketch.width + drawing_edge), height / (sketch.height + drawing_head));
    if (letters > 0 && letters < plain_enough) view.larger = wanted / letters;
    return fitted_to(loop_figure(circuit, sketch, view), width, height);
}

Figure fitted_across(Figure figure, double width, double height) {
    if (figure.width <= 0) return figure;
    scale_by(figure, std::min(width / figure.width, most_enlarged));
    move_by(figure, {(width - figure.width) / 2, 0});
    figure.width = width;
    figure.height = std::max(height, figure.height);
    return figure;
}

Extent natural_extent(double width, double height, double least_width, double least_height) {
    const double larger = std::max({1.0, least_width / width, least_height / height});
    return {width * larger, height * larger};
}

Figure fitted_traces(TracesView view, double width, double height) {
    constexpr double head_and_foot = 130, between = 16, least_panel = 110, least_width = 520;
    const auto panels = static_cast<double>(std::max<std::size_t>(view.panels.size(), 1));
    const Extent room =
        natural_extent(width, height, least_width, head_and_foot + panels * (least_panel + between));
    view.width = room.width;
    view.panel_height = (room.height - head_and_foot) / panels - between;
    return fitted_to(traces_figure(view), width, height);
}

double drawing_fit(const Circuit& circuit, double width, double height) {
    if (circuit.parts.size() > most_placed_at_once) return 0;
    const Sketch s = sketch(circuit, width / std::max(height, 1.0));
    return std::min(width / (s.width + drawing_edge), height / (s.height + drawing_head));
}

Figure bench_drawing(const Session& session, const TypedReading& typed, const Sketch& sketch, double width,
                     double height) {
    const Findings& f = session.findings();
    const Circuit& c = session.circuit();
    LoopView view;
    // Until there is an answer to the last reading the one before stays: a drawing that loses its marks and
    // gets them back would flicker.
    if (session.findings_fit() && f.location)
        view = view_of(*f.job, *f.location, prediction_of(f.healthy, typed.state));
    view.state = typed.state;
    view.notes.clear();
    view.heading = "state " + c.states[static_cast<std::size_t>(typed.state)].name;
    if (f.location && session.freshness() == Freshness::first) view.heading += "; a first answer";
    if (f.location && session.freshness() == Freshness::before) view.heading += "; of before the last change";
    ShownReading leads;
    leads.quantity = typed.quantity;
    leads.ink = Ink::measured;
    leads.red = find_point(c, typed.red);
    leads.black = find_point(c, typed.black);
    leads.at = between_two_points(typed.quantity) ? none : find_part(c, typed.through);
    if (leads.red != none || leads.black != none || leads.at != none) view.readings = {leads};
    return fitted_drawing(c, sketch, std::move(view), width, height);
}

Figure bench_staircase(const Session& session, int state, double width, double height) {
    const Findings& f = session.findings();
    const Circuit& c = session.circuit();
    Figure empty = nothing_yet(width, height);
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
    const Extent room = natural_extent(width, height, least_stairs_wide, least_stairs_high);
    view.width = room.width;
    view.height = room.height;
    return fitted_to(staircase_figure(c, path, view), width, height);
}

} // namespace lostvolts

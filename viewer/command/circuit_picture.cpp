#include "viewer/command/circuit_picture.h"

#include "viewer/figures/suspects.h"

namespace lostvolts {
namespace {

LoopView view_of(const CircuitPicture& d, const StatePrediction& prediction) {
    LoopView view = d.location ? view_of(*d.readings, *d.location, &prediction) : LoopView{};
    if (!d.location || d.faults_shown) view.suspects = shown_faults(d.faults);
    view.prediction = &prediction;
    view.state = d.state;
    view.heading = d.heading;
    if (d.location && !d.location->next.empty() && d.location->next.front().state != d.state)
        view.readings.clear();
    return view;
}

} // namespace

Result<Figure> loop_of(const CircuitPicture& d) {
    Workspace work;
    const auto prediction = predict_state(analyse(d.circuit), d.state, d.faults, work);
    if (!prediction) return prediction.problems();
    return loop_figure(*d.circuit, sketch(*d.circuit), view_of(d, *prediction));
}

Result<std::optional<Figure>> staircase_of(const CircuitPicture& d) {
    const Circuit& c = *d.circuit;
    const Network network = analyse(d.circuit);
    Workspace work;
    const auto prediction = predict_state(network, d.state, d.faults, work);
    if (!prediction) return prediction.problems();
    const LoopView view = view_of(d, *prediction);
    const PartId through = view.suspects.empty() ? none : view.suspects.front().part;
    const CurrentPath path = path_through(c, d.load != none ? d.load : load_behind(c, *prediction, through));
    if (path.parts.empty()) return std::optional<Figure>();
    const auto healthy = predict_state(network, d.state, {}, work);
    StaircaseView stairs;
    stairs.prediction = &*prediction;
    if (healthy && !d.faults.empty()) stairs.healthy = &*healthy;
    stairs.bands = tolerance_bands(network, d.state, d.faults, path);
    if (d.readings) stairs.measured = measured_drops(*d.readings, d.state);
    stairs.suspects = view.suspects;
    stairs.heading = d.heading;
    return std::optional(staircase_figure(c, path, stairs));
}

} // namespace lostvolts

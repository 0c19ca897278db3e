#include "viewer/window/lesson_pictures.h"

#include <utility>

#include "viewer/figures/loop.h"
#include "viewer/figures/staircase.h"
#include "viewer/figures/traces.h"
#include "viewer/window/bench_pictures.h"

namespace lostvolts {
namespace {

std::string state_name(const Circuit& circuit, int state) {
    return "state " + circuit.states[static_cast<std::size_t>(state)].name;
}

} // namespace

Figure lesson_drawing(const Stage& stage, const Sketch& sketch, double width, double height) {
    if (!stage.stand) return nothing_yet(width, height);
    const Circuit& c = *stage.stand->circuit;
    LoopView view;
    view.state = stage.stand->run;
    if (!stage.faulty.trouble) view.prediction = &stage.faulty.run;
    view.suspects = shown_faults(stage.faulty.faults);
    view.heading = state_name(c, view.state);
    return fitted_drawing(c, sketch, std::move(view), width, height);
}

Figure hunt_drawing(const Circuit& circuit, const TypedReading& typed, const Sketch& sketch, double width,
                    double height) {
    LoopView view;
    view.state = typed.state;
    view.heading = state_name(circuit, typed.state);
    ShownReading leads;
    leads.quantity = typed.quantity;
    leads.ink = Ink::measured;
    leads.red = find_point(circuit, typed.red);
    leads.black = find_point(circuit, typed.black);
    leads.at = between_two_points(typed.quantity) ? none : find_part(circuit, typed.through);
    if (leads.red != none || leads.black != none || leads.at != none) view.readings = {leads};
    return fitted_drawing(circuit, sketch, std::move(view), width, height);
}

Figure lesson_staircase(const Stage& stage, double width, double height) {
    if (!stage.stand || stage.healthy.trouble) return nothing_yet(width, height);
    const Stand& stand = *stage.stand;
    const Circuit& c = *stand.circuit;
    const CurrentPath path = path_through(c, stand.load);
    if (path.parts.empty()) return nothing_yet(width, height);
    const bool faulty = !stage.faulty.faults.empty() && !stage.faulty.trouble;
    StaircaseView view;
    view.prediction = faulty ? &stage.faulty.run : &stage.healthy.run;
    view.healthy = faulty ? &stage.healthy.run : nullptr;
    view.suspects = shown_faults(stage.faulty.faults);
    if (!faulty) view.bands = tolerance_bands(stand.network, stand.run, {}, path);
    view.heading = state_name(c, stand.run);
    const Extent room = natural_extent(width, height, least_stairs_wide, least_stairs_high);
    view.width = room.width;
    view.height = room.height;
    return fitted_to(staircase_figure(c, path, view), width, height);
}

Figure lesson_start(const Stage& stage, double width, double height) {
    if (!stage.healthy_start) return nothing_yet(width, height);
    TracesView view;
    view.title = stage.stand->part(stage.stand->load).name + ", starting";
    view.says = "Current through the load and volts across it while it starts, healthy and faulty.";
    view.to = stage.healthy_start->seconds.back();
    view.panels = {{"current", "A", {}, {}}, {"volts across it", "V", {}, {}}};
    const auto add = [&](const StartTrace& t, const char* name, Ink ink, Dash dash) {
        view.panels[0].traces.push_back({name, t.seconds, t.amps, ink, dash});
        view.panels[1].traces.push_back({name, t.seconds, t.volts, ink, dash});
    };
    if (stage.faulty_start) add(*stage.faulty_start, "faulty", Ink::faulty, Dash::solid);
    add(*stage.healthy_start, "healthy", Ink::healthy, stage.faulty_start ? Dash::dashed : Dash::solid);
    return fitted_traces(std::move(view), width, height);
}

} // namespace lostvolts

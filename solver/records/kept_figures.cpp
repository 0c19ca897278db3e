#include "solver/records/kept_figures.h"

#include <algorithm>

#include <fmt/format.h>

namespace lostvolts {
namespace {

/// The state in which a motor's current is its run current (or, held, its stall current).
int usual_state(const Circuit& c, PartId motor, bool held) {
    int first = none;
    for (int s = 0; s < static_cast<int>(c.states.size()); ++s) {
        const State& state = c.states[static_cast<std::size_t>(s)];
        if (holds(state.locked, motor) != held || !state.removed.empty() || !state.bridged.empty()) continue;
        if (state.name == (held ? "stall" : "run")) return s;
        if (first == none) first = s;
    }
    return first;
}

std::optional<KeptFigure> figure_of(const Circuit& c, const Reading& r) {
    const State& state = c.states[static_cast<std::size_t>(r.state)];
    const auto part = [&](PartId p) -> const Part& { return c.parts[static_cast<std::size_t>(p)]; };
    const auto point = [&](PointId p) -> const std::string& { return point_name(c, p); };
    if (r.quantity == Measurand::voltage && r.red != none && r.black != none)
        return KeptFigure{"volts", fmt::format("{}: {} to {}", state.name, point(r.red), point(r.black)),
                          r.value, ""};
    if ((r.quantity != Measurand::current && r.quantity != Measurand::speed) || r.through == none)
        return std::nullopt;
    const Part& through = part(r.through);
    const bool motor = std::holds_alternative<Motor<>>(through.law), held = holds(state.locked, r.through);
    KeptFigure figure;
    figure.what = r.quantity == Measurand::speed ? "speed" : held ? "stall current" : "run current";
    figure.where = motor && usual_state(c, r.through, held) == r.state
                       ? through.name
                       : fmt::format("{}: {}", state.name, through.name);
    figure.value = r.value;
    return figure;
}

} // namespace

double median_of_values(std::vector<double> values) {
    if (values.empty()) return 0;
    std::sort(values.begin(), values.end());
    const std::size_t n = values.size();
    return n % 2 ? values[n / 2] : 0.5 * (values[n / 2 - 1] + values[n / 2]);
}

std::vector<KeptFigure> figures_of(const Readings& readings, const std::string& source) {
    std::vector<KeptFigure> figures;
    std::vector<std::vector<double>> values;
    for (const Reading& r : readings.readings) {
        if (r.disturbed != none) continue; // wiggled or warmed: not how the circuit usually reads
        auto figure = figure_of(readings.circuit, r);
        if (!figure) continue;
        const auto same = std::find_if(figures.begin(), figures.end(), [&](const KeptFigure& f) {
            return f.what == figure->what && f.where == figure->where;
        });
        if (same == figures.end()) {
            figure->source = source;
            figures.push_back(*std::move(figure));
            values.push_back({figures.back().value});
        } else {
            values[static_cast<std::size_t>(same - figures.begin())].push_back(figure->value);
        }
    }
    for (std::size_t k = 0; k < figures.size(); ++k) figures[k].value = median_of_values(values[k]);
    return figures;
}

std::vector<KeptFigure> figures_of(const Waveform& w, const std::string& motor, const std::string& source) {
    std::vector<KeptFigure> figures;
    const auto add = [&](const char* what, double value) { figures.push_back({what, motor, value, source}); };
    if (w.stall_current) add("stall current", si(w.stall_current->value));
    if (w.run_current) add("run current", si(*w.run_current));
    if (w.speed) add("speed", si(*w.speed));
    if (w.sag) add("sag", si(*w.sag));
    if (w.ripple_current) add("ripple", si(*w.ripple_current));
    return figures;
}

} // namespace lostvolts

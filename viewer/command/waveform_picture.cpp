#include "viewer/command/waveform_picture.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

constexpr std::array<std::pair<Ink, Dash>, 4> looks{{{Ink::predicted, Dash::solid},
                                                     {Ink::faulty, Dash::dashed},
                                                     {Ink::good, Dash::dotted},
                                                     {Ink::next, Dash::dashed}}};

std::string_view quantity_of(std::string_view unit) {
    return unit == "A" ? "current" : unit == "V" ? "volts" : "speed";
}

/// When the motor's current sets in: a relay takes its time after its switch.
double onset_of(const SpinUp& run) {
    double most = 0;
    for (const double a : run.columns[0]) most = std::max(most, std::abs(a));
    for (std::size_t k = 0; k < run.seconds.size(); ++k)
        if (std::abs(run.columns[0][k]) > 0.01 * most) return run.seconds[k];
    return 0;
}

} // namespace

Problems add_beside(TracesView& view, const std::string& file, const CaptureOptions& how,
                    const WaveformOptions& options) {
    const auto capture = read_capture(file, how);
    if (!capture) return capture.problems();
    const auto w = analyse(*capture, options);
    if (!w) return w.problems();
    if (!view.panels.empty() && !view.panels[0].traces.empty() && view.panels[0].traces[0].name == "captured")
        for (TracePanel& panel : view.panels) panel.traces[0].name = view.title;
    add_capture(view, *capture, *w, file.substr(file.rfind('/') + 1));
    return {};
}

void add_foretold(TracesView& view, const std::shared_ptr<const Circuit>& circuit,
                  const CapturePlace& place) {
    SpinUpRequest request;
    request.state = place.run;
    request.duration = request.closing + from_si<Time<>>(view.to);
    request.every = from_si<Time<>>(view.to / 3000);
    request.account = false;
    request.probes.push_back({.kind = ProbeKind::current, .through = place.motor});
    const bool volts = place.red != none && place.black != none;
    if (volts) request.probes.push_back({.red = place.red, .black = place.black});
    if (place.run == none || !check_request(*circuit, request).empty()) return;
    const auto run = spin_up(analyse(circuit), request);
    if (!run) return;
    const Time<> onset = from_si<Time<>>(onset_of(*run));
    for (TracePanel& panel : view.panels) {
        if (panel.unit != "A" && !volts) continue;
        panel.traces.push_back(trace_of(*run, panel.unit == "A" ? 0 : 1, onset, "foretold, sound circuit"));
        panel.traces.back().ink = Ink::healthy;
        panel.traces.back().dash = Dash::dashed;
    }
}

TracesView traces_of(const SpinUp& run, const std::vector<InrushColumn>& columns, Time<> closing,
                     const SpinUp* sound) {
    TracesView view;
    view.from = -si(closing);
    view.to = run.seconds.empty() ? 1 : run.seconds.back() - si(closing);
    view.time_name = "time since the contacts closed";
    for (const std::string_view unit : {"A", "V", "rpm"}) {
        TracePanel panel{std::string(quantity_of(unit)), std::string(unit), {}, {}};
        const auto same = [&](const InrushColumn& c) { return c.unit == unit; };
        const bool alone = std::count_if(columns.begin(), columns.end(), same) == 1;
        for (std::size_t k = 0; k < columns.size(); ++k) {
            if (columns[k].unit != unit) continue;
            const double factor = unit == "rpm" ? rpm_per_si : 1;
            const auto& [ink, dash] = looks[panel.traces.size() % looks.size()];
            std::string name = sound && alone ? "with the fault" : columns[k].name;
            if (sound) {
                panel.traces.push_back(
                    trace_of(*sound, k, closing, alone ? "the sound circuit" : name + ", sound", factor));
                panel.traces.back().ink = Ink::healthy;
                panel.traces.back().dash = Dash::dashed;
            }
            panel.traces.push_back(trace_of(run, k, closing, std::move(name), factor));
            panel.traces.back().ink = sound ? Ink::faulty : ink;
            panel.traces.back().dash = sound ? Dash::solid : dash;
        }
        if (!panel.traces.empty()) view.panels.push_back(std::move(panel));
    }
    for (const MotorStart& m : run.motors) {
        view.says += fmt::format("{}peak {} after {}, then {} at {}", view.says.empty() ? "" : "; ",
                                 amperes(m.peak), show(m.peak_at - closing), amperes(m.run), show(m.speed));
        for (TracePanel& panel : view.panels)
            for (std::size_t k = 0; k < columns.size(); ++k)
                if (panel.unit == "A" && columns[k].unit == "A" && columns[k].probe.through == m.part) {
                    panel.features.push_back({TraceFeature::Sort::spot, si(m.peak_at - closing), 0,
                                              si(m.peak), "peak " + amperes(m.peak)});
                    panel.features.push_back({TraceFeature::Sort::level, 0.45 * view.to, 0, si(m.run),
                                              "runs at " + amperes(m.run)});
                }
    }
    return view;
}

} // namespace lostvolts

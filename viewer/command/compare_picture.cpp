#include "viewer/command/compare_picture.h"

#include <cmath>

#include <fmt/format.h>

#include "solver/lesson/looks.h"
#include "solver/units/text.h"
#include "viewer/figures/sweep.h"
#include "viewer/figures/table_figure.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

constexpr double alike = 0.02; // a share: below it a cell has no arrow

using Beside = FigureCell::Beside;

Beside beside(double now, double sound) {
    if (std::abs(now - sound) <= alike * std::abs(sound)) return Beside::same;
    return now > sound ? Beside::higher : Beside::lower;
}

std::string title_of(const Stand& stand) {
    const Circuit& c = *stand.circuit;
    return c.name.empty() ? c.file : c.name;
}

template <class Q> std::string shown(const std::optional<Q>& q) { return q ? show(*q, 2) : ""; }

FigureRow row_of(const Comparison& c, std::size_t k) {
    const Signature &s = c.signatures[k], &h = c.signatures.front();
    FigureRow row{s.name, {}, k == 0};
    if (s.trouble) {
        row.cells.push_back({s.trouble->what, Beside::none});
        return row;
    }
    const auto cell = [&](const std::string& text, double now, double sound) {
        row.cells.push_back({text, k == 0 ? Beside::none : beside(now, sound)});
    };
    if (c.stand.turns()) {
        cell(amperes(*s.stall_current), si(*s.stall_current), si(*h.stall_current));
        cell(amperes(s.run_current), si(s.run_current), si(h.run_current));
        cell(show(*s.speed, 3), si(*s.speed), si(*h.speed));
    } else {
        cell(amperes(s.run_current), si(s.run_current), si(h.run_current));
    }
    cell(volts(s.across), si(s.across), si(h.across));
    cell(volts(s.lost), si(s.lost), si(h.lost));
    cell(drop(s.sag), si(s.sag), si(h.sag));
    row.cells.push_back(
        {s.largest == none ? std::string("—")
                           : fmt::format("{} across {}", drop(s.largest_drop), c.stand.part(s.largest).name),
         Beside::none});
    row.cells.push_back({shown(s.power_in_fault), Beside::none});
    return row;
}

} // namespace

Figure compare_picture(const Comparison& c) {
    TableView view;
    view.title = title_of(c.stand);
    view.says = fmt::format("{}: what it reads and does, sound and with each fault.",
                            said(c.stand.part(c.stand.load)));
    view.names = "condition";
    if (c.stand.turns())
        view.headings = {"stall current", "run current", "speed"};
    else
        view.headings = {"run current"};
    for (const char* heading :
         {"volts at load", "volts lost", "sag at source", "largest drop", "lost in fault"})
        view.headings.emplace_back(heading);
    for (std::size_t k = 0; k < c.signatures.size(); ++k) view.rows.push_back(row_of(c, k));
    view.notes = {"Arrows: higher or lower than in the sound circuit."};
    for (const Signature& sig : c.signatures)
        view.notes.push_back(sig.name + ": " + looks(c.stand, c.signatures.front(), sig) + ".");
    return table_figure(view);
}

Figure sweep_picture(const Stand& stand, const Sweep& s) {
    SweepView view;
    const bool ohms = size_of(s.request.kind) == FaultSize::ohms;
    const std::string what = fmt::format("{}, {}", stand.part(s.request.part).name, name_of(s.request.kind));
    view.title = title_of(stand) + ": " + what;
    view.says = "Currents through the load while the fault grows, and what a healthy one may draw.";
    view.x = {what, ohms ? "Ω" : "%", s.request.low * (ohms ? 1 : 100), s.request.high * (ohms ? 1 : 100),
              false};
    view.y = {"current", "A", 0, 0, false};
    SweepCurve run{"running", {}, {}, Ink::predicted, Dash::solid, 2},
        stall{"rotor held", {}, {}, Ink::faulty, Dash::dashed, 2};
    for (const SweepRow& r : s.rows) {
        const double x = r.size * (ohms ? 1 : 100), gap = std::nan("");
        run.x.push_back(x);
        run.y.push_back(r.solved ? si(r.run_current) : gap);
        if (!stand.turns()) continue;
        stall.x.push_back(x);
        stall.y.push_back(r.solved && r.stall_current ? si(*r.stall_current) : gap);
    }
    view.bands.push_back({"a healthy one may draw",
                          {view.x.low, view.x.high},
                          {s.run.low, s.run.low},
                          {s.run.high, s.run.high},
                          Ink::healthy});
    view.curves.push_back(std::move(run));
    if (stand.turns()) view.curves.push_back(std::move(stall));
    const auto line = [&](const std::optional<double>& at, const char* words, Ink ink) {
        if (at && *at > s.request.low) view.lines.push_back({*at * (ohms ? 1 : 100), true, words, ink});
    };
    line(s.limit_at, "loses more than its limit", Ink::limit);
    line(s.run.left_at, "the clamp begins to tell", Ink::good);
    return sweep_figure(view);
}

} // namespace lostvolts

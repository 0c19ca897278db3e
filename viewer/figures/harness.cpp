#include "viewer/figures/harness.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "viewer/figures/loop_words.h"
#include "viewer/figures/shapes.h"
#include "viewer/figures/sweep.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

constexpr double edge = 14, type = 10, bar_height = 8, between_lines = 17;
constexpr double least_for_one_line = 700, widest = 860, narrowest = 420;

/// Where what of a wire stands; `amps` is an end.
struct Columns {
    double width = widest, size = 190, size_end = 314, amps = 366, drop = 380, heat = 560, binding = 745;
    double drop_bar = 110, heat_bar = 90;
    double second = 0, row_height = 27; ///< from the name down to current, drop and heat
};

Columns columns_for(double width) {
    if (width >= least_for_one_line) return {};
    const double w = std::max(width, narrowest), more = (w - narrowest) / 2;
    return {w,
            0.5 * w,
            w - edge,
            54,
            66,
            190 + more,
            w - edge,
            58 + 0.6 * more,
            58 + 0.6 * more,
            between_lines,
            27 + between_lines};
}

void bar(Figure& f, Position from, double full, double share, Ink ink, double width = bar_height) {
    f.shapes.push_back(Fill{rectangle(from, {from.x + full, from.y + width}), Ink::grid, 0.7});
    const double shown = std::clamp(share, 0.0, 1.0) * full;
    f.shapes.push_back(Fill{rectangle(from, {from.x + std::max(shown, 0.8), from.y + width}), ink, 1});
}

std::string celsius_text(Temperature<> t) { return fmt::format("{:.0f} °C", in_celsius(t)); }

} // namespace

Figure harness_figure(const Circuit& c, const SizingRequest& request, const Sizing& s, double width) {
    Figure f;
    const Columns x = columns_for(width);
    const bool one_line = x.second == 0;
    f.width = x.width;
    f.title = (c.name.empty() ? c.file : c.name) + ": harness";
    f.says = fmt::format("Copper {} ({} as drawn); worst loss {} of {} allowed; {} around the wires.",
                         show(s.copper), show(s.copper_drawn), drop(s.worst_drop), drop(s.allowed),
                         celsius_text(request.ambient));
    add_title(f);
    double y = 43;
    for (const std::string& line : in_lines(f.says, f.width - 2 * edge, 10.5, 2)) {
        f.shapes.push_back(words({edge, y}, line, 10.5));
        y += 14;
    }
    const double head = y + 39;
    const auto heading = [&](double where, const char* text, Align align = Align::start) {
        f.shapes.push_back(words({where, head - 24}, text, 9, Ink::quiet, align, true));
    };
    if (one_line) {
        heading(edge, "wire");
        heading(x.size, "size");
    }
    heading(x.amps, "current", Align::end);
    heading(x.drop, one_line ? "drop, of all that may be lost" : "drop, of all allowed");
    heading(x.heat, one_line ? "temperature, up to its limit" : "temperature");
    heading(x.binding, "set by", one_line ? Align::start : Align::end);
    f.shapes.push_back(Stroke{{{edge, head - 16}, {f.width - edge, head - 16}}, Ink::quiet, 1.2});
    y = head;
    const double ambient = in_celsius(request.ambient);
    for (const SizedWire& w : s.wires) {
        const Part& part = c.parts[at(w.part)];
        const bool changed = w.chosen && std::abs(si(w.size.area) - si(w.drawn.area)) > 1e-9;
        std::string size = size_shown(w.size);
        if (changed) size.insert(0, size_shown(w.drawn) + " → ");
        f.shapes.push_back(words({edge, y + 3}, fitted(part.name, x.size - edge - 12, type), type));
        f.shapes.push_back(words({one_line ? x.size : x.size_end, y + 3},
                                 fitted(size, x.size_end - x.size, type, changed), type, Ink::text,
                                 one_line ? Align::start : Align::end, changed));
        const double below = y + x.second;
        f.shapes.push_back(words({x.amps, below + 3}, amperes(from_si<Current<>>(std::abs(si(w.current)))),
                                 type, Ink::text, Align::end));
        const double lost = std::abs(si(w.drop));
        bar(f, {x.drop, below - 5}, x.drop_bar, si(s.allowed) > 0 ? lost / si(s.allowed) : 0, Ink::predicted);
        f.shapes.push_back(
            words({x.drop + x.drop_bar + 6, below + 3}, value_text(Measurand::voltage, lost), 9, Ink::text));
        const double limit = in_celsius(w.limit), hot = in_celsius(w.temperature);
        const double share = limit > ambient ? (hot - ambient) / (limit - ambient) : 0;
        bar(f, {x.heat, below - 5}, x.heat_bar, share, share > 1 ? Ink::bad : Ink::faulty);
        f.shapes.push_back(words({x.heat + x.heat_bar + 6, below + 3},
                                 fmt::format("{:.0f} of {:.0f} °C", hot, limit), 9, Ink::text));
        f.shapes.push_back(words({x.binding, below + 3}, std::string(name_of(w.binding)), type, Ink::quiet,
                                 one_line ? Align::start : Align::end));
        f.targets.push_back(
            {{edge, y - 12},
             {f.width - edge, below + 12},
             none,
             w.part,
             fmt::format("{}, {}: {} at {}, {} of {}; set by {}.", said(part), size,
                         value_text(Measurand::voltage, lost), amperes(w.current),
                         celsius_text(w.temperature), celsius_text(w.limit), name_of(w.binding))});
        y += x.row_height;
        f.shapes.push_back(Stroke{{{edge, y - 14}, {f.width - edge, y - 14}}, Ink::grid, 0.7});
    }
    f.height = y;
    return f;
}

Figure fuse_figure(const Circuit& c, const SizingRequest& request, const Sizing& sizing,
                   const SizedFuse& fuse) {
    SweepView v;
    v.title = fmt::format("{}, {}", said(c.parts[at(fuse.part)]), show(fuse.rating));
    v.width = 720;
    v.height = 480;
    const double rating = si(fuse.rating);
    v.x = {"current", "A", rating * 0.5, std::max(rating * 40, 2 * si(fuse.short_current)), true};
    v.y = {"time", "s", 1e-3, 1e3, true};

    SweepBand band{"the fuse opens, by its standard", {}, {}, {}, Ink::predicted};
    for (int k = 0; k <= 240; ++k) {
        const double amps = v.x.low * std::pow(v.x.high / v.x.low, k / 240.0);
        const OperatingTime t = operating_time(fuse.rating, from_si<Current<>>(amps));
        if (!std::isfinite(si(t.shortest))) continue;
        band.x.push_back(amps);
        band.low.push_back(si(t.shortest));
        band.high.push_back(std::isfinite(si(t.longest)) ? si(t.longest) : 1e9);
    }
    v.bands.push_back(std::move(band));

    const SizedWire* thinnest = nullptr;
    for (const SizedWire& w : sizing.wires)
        if (w.fuse == fuse.part && (!thinnest || si(w.size.area) < si(thinnest->size.area))) thinnest = &w;
    if (thinnest) {
        const auto& wire = std::get<Wire<>>(c.parts[at(thinnest->part)].law);
        const double withstand =
            withstand_amps2_seconds(thinnest->size, *find_metal(wire.settings.metal), request.insulation);
        SweepCurve curve{
            fmt::format("{} ({}) is hurt", c.parts[at(thinnest->part)].name, size_shown(thinnest->size)),
            {},
            {},
            Ink::bad,
            Dash::dashed};
        for (int k = 0; k <= 100; ++k) {
            const double amps = v.x.low * std::pow(v.x.high / v.x.low, k / 100.0),
                         seconds = withstand / (amps * amps);
            if (seconds > adiabatic_seconds) continue; // the rule's range
            curve.x.push_back(amps);
            curve.y.push_back(seconds);
        }
        v.curves.push_back(std::move(curve));
    }

    if (const auto start = request.starts.find(fuse.part);
        start != request.starts.end() && start->second.samples.size() > 1) {
        const auto& samples = start->second.samples;
        SweepCurve curve{"the start: how long it stays above", {}, {}, Ink::measured, Dash::solid, 2.4};
        const double peak = si(start->second.peak);
        for (int k = 0; k <= 200; ++k) {
            const double amps = v.x.low * std::pow(peak / v.x.low, k / 200.0);
            double above = 0;
            for (std::size_t j = 1; j < samples.size(); ++j)
                if (samples[j].amps >= amps) above += samples[j].seconds - samples[j - 1].seconds;
            if (above <= 0) continue;
            curve.x.push_back(amps);
            curve.y.push_back(above);
        }
        v.curves.push_back(std::move(curve));
    }
    v.lines.push_back({si(fuse.load), true, "steady " + amperes(fuse.load), Ink::quiet});
    if (si(fuse.short_current) > 0)
        v.lines.push_back(
            {si(fuse.short_current), true, "least short " + show(fuse.short_current), Ink::limit});
    v.says = fmt::format(
        "Loaded to {:.0f} %; a start uses {:.0f} % of its shortest life; a far short opens it within {}.",
        100 * fuse.loaded, 100 * fuse.start_use, show(fuse.on_short));
    return sweep_figure(v);
}

} // namespace lostvolts

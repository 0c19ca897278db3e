#include "viewer/figures/traces.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

#include <fmt/format.h>

#include "viewer/figures/axis.h"
#include "viewer/figures/legend.h"
#include "viewer/figures/shapes.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

constexpr double edge = 14, left = 62, right = 20, head = 68, between = 16, foot = 42, type = 9;

struct Range {
    double low = std::numeric_limits<double>::infinity(), high = -low;
    void take(double v) {
        if (!std::isfinite(v)) return;
        low = std::min(low, v);
        high = std::max(high, v);
    }
};

/// The panel's values in the shown time, with nothing always in sight where it is near.
Axis axis_for(const TracePanel& panel, double from, double to) {
    Range r;
    for (const Trace& t : panel.traces)
        for (std::size_t k = 0; k < std::min(t.seconds.size(), t.values.size()); ++k)
            if (t.seconds[k] >= from && t.seconds[k] <= to) r.take(t.values[k]);
    for (const TraceFeature& f : panel.features)
        if (f.sort == TraceFeature::Sort::spot || f.sort == TraceFeature::Sort::level) r.take(f.value);
    if (!(r.high >= r.low)) r = {0, 1};
    if (r.low > 0 && r.low < 0.6 * r.high) r.low = 0;
    const double room = std::max(r.high - r.low, 1e-9) * 0.08;
    Axis axis = rounded_out({panel.name, panel.unit, r.low == 0 ? 0 : r.low - room, r.high + room, false}, 6);
    if (r.low < 0 && r.low > -room) axis.low = r.low - room; // noise about nothing
    return axis;
}

class Features {
  public:
    /// `first_curve`: the first of the figure's shapes that is one of the panel's curves.
    Features(Figure& figure, const Frame& frame, std::size_t first_curve) : f_(figure), frame_(frame) {
        for (std::size_t k = first_curve; k < figure.shapes.size(); ++k)
            if (const auto* curve = std::get_if<Stroke>(&figure.shapes[k]))
                curves_.insert(curves_.end(), curve->path.begin(), curve->path.end());
    }

    void draw(const TraceFeature& t) {
        switch (t.sort) {
        case TraceFeature::Sort::spot:
            spot(t);
            break;
        case TraceFeature::Sort::level:
            level(t);
            break;
        case TraceFeature::Sort::stretch:
            stretch(t);
            break;
        case TraceFeature::Sort::moment:
            moment(t);
            break;
        }
    }

  private:
    /// Near a place where nothing is written yet, and off the curves where that can be.
    void write(Position at, const std::string& text, Align align) {
        std::optional<Words> second_best;
        for (const double shift : {0.0, 13.0, -13.0, 26.0, -26.0, 39.0, -39.0, 52.0, -52.0, 65.0, 78.0}) {
            Words w = words({at.x, at.y + shift}, text, type, Ink::text, align);
            Box box = box_of(w);
            if (box.high.x > frame_.high.x) w.at.x -= box.high.x - frame_.high.x + 2;
            if (box.low.x < frame_.low.x) w.at.x += frame_.low.x - box.low.x + 3;
            box = box_of(w);
            const bool outside = box.low.y < frame_.low.y || box.high.y > frame_.high.y;
            if (outside ||
                std::any_of(taken_.begin(), taken_.end(), [&](const Box& b) { return overlap(b, box); }))
                continue;
            if (!on_a_curve(box)) return put(std::move(w));
            if (!second_best) second_best = std::move(w);
        }
        if (second_best) put(*std::move(second_best));
    }
    void put(Words w) {
        taken_.push_back(box_of(w));
        add_clear_words(f_, std::move(w));
    }
    bool on_a_curve(const Box& box) const {
        return std::any_of(curves_.begin(), curves_.end(), [&](Position p) {
            return p.x > box.low.x - 2 && p.x < box.high.x + 2 && p.y > box.low.y - 2 && p.y < box.high.y + 2;
        });
    }
    void spot(const TraceFeature& t) {
        const Position p = frame_.at(t.from, t.value);
        f_.shapes.push_back(Mark{p, MarkShape::ring, 8, Ink::text});
        write({p.x + 6, p.y - 9}, t.words, Align::start);
        f_.targets.push_back({{p.x - 8, p.y - 8}, {p.x + 8, p.y + 8}, none, none, t.words});
    }
    void level(const TraceFeature& t) {
        const double a = std::clamp(frame_.x_at(t.from), frame_.low.x, frame_.high.x), b = frame_.high.x;
        const double y = frame_.y_at(t.value);
        f_.shapes.push_back(Stroke{{{a, y}, {b, y}}, Ink::text, 1, Dash::dashed});
        write({b - 4, y - 7}, t.words, Align::end);
        f_.targets.push_back({{a, y - 5}, {b, y + 5}, none, none, t.words});
    }
    void stretch(const TraceFeature& t) {
        const double a = frame_.x_at(t.from), b = frame_.x_at(t.to), y = frame_.high.y - 14;
        if (a < frame_.low.x || b > frame_.high.x) return;
        f_.shapes.push_back(Stroke{{{a, y}, {b, y}}, Ink::text, 1.2});
        for (const double x : {a, b}) f_.shapes.push_back(Stroke{{{x, y - 5}, {x, y + 5}}, Ink::text, 1.2});
        write({(a + b) / 2, y - 8}, t.words, Align::middle);
        f_.targets.push_back({{a, y - 6}, {b, y + 6}, none, none, t.words});
    }
    void moment(const TraceFeature& t) {
        const double x = frame_.x_at(t.from);
        if (x < frame_.low.x || x > frame_.high.x) return;
        f_.shapes.push_back(Stroke{{{x, frame_.low.y}, {x, frame_.high.y}}, Ink::bad, 1, Dash::dotted});
        f_.shapes.push_back(Mark{{x, frame_.low.y + 4}, MarkShape::arrow_down, 7, Ink::bad});
        if (!t.words.empty()) write({x + 6, frame_.low.y + 10}, t.words, Align::start);
        f_.targets.push_back({{x - 4, frame_.low.y}, {x + 4, frame_.high.y}, none, none, t.words});
    }

    Figure& f_;
    const Frame& frame_;
    std::vector<Position> curves_;
    std::vector<Box> taken_;
};

double zero_of(const Waveform& w) { return w.clamp.zero ? si(*w.clamp.zero) : 0; }

struct Samples {
    std::vector<double> seconds, volts, amps;
};
Samples samples_of(const Capture& c, const Waveform& w) {
    Samples s;
    const double start = w.start ? si(*w.start) : c.start_seconds;
    const double sign = w.clamp.reversed ? -1 : 1, zero = zero_of(w);
    for (std::size_t k = 0; k < c.size(); ++k) s.seconds.push_back(c.seconds(k) - start);
    s.volts = c.volts;
    for (const double a : c.amps) s.amps.push_back(sign * (a - zero));
    return s;
}

/// Long enough to see the start settle and a few turns, short enough to see it at all.
double shown_after(const Capture& c, const Waveform& w) {
    const double start = w.start ? si(*w.start) : c.start_seconds;
    const double left_over = c.seconds(c.size() - 1) - start;
    double wanted = 0;
    if (w.motor.time_constant) wanted = 14 * si(*w.motor.time_constant);
    if (w.peak_at) wanted = std::max(wanted, 12 * (si(*w.peak_at) - start));
    if (w.revolution) wanted = std::max(wanted, 6 * si(*w.revolution));
    for (const Reopening& b : w.bounces) wanted = std::max(wanted, 1.5 * (si(b.at + b.open) - start));
    return wanted > 0 ? std::min(wanted, left_over) : left_over;
}

void mark_features(TracePanel& panel, const Waveform& w, double to) {
    using Sort = TraceFeature::Sort;
    const double start = w.start ? si(*w.start) : 0;
    const bool amps = panel.unit == "A";
    if (amps && w.peak_current && w.peak_at)
        panel.features.push_back({Sort::spot, si(*w.peak_at) - start, 0, si(*w.peak_current),
                                  fmt::format("peak {}, {} after the start", amperes(*w.peak_current),
                                              show(*w.peak_at - from_si<Time<>>(start)))});
    if (amps && w.run_current)
        panel.features.push_back(
            {Sort::level, 0.45 * to, 0, si(*w.run_current), "runs at " + amperes(*w.run_current)});
    if (!amps && w.resting_voltage)
        panel.features.push_back(
            {Sort::level, -1e9, 0, si(*w.resting_voltage), "at rest " + volts(*w.resting_voltage)});
    if (!amps && w.lowest_voltage && w.sag)
        panel.features.push_back(
            {Sort::level, 0, 0, si(*w.lowest_voltage),
             fmt::format("lowest {}, a sag of {}", volts(*w.lowest_voltage), volts(*w.sag))});
    if (amps && w.revolution) {
        const double turn = si(*w.revolution), from = std::max(0.5 * to, to - 2 * turn);
        std::string said = "one turn " + show(*w.revolution);
        if (w.speed) said += ", " + show(*w.speed);
        panel.features.push_back({Sort::stretch, from, from + turn, 0, said});
    }
    std::string opens;
    for (std::size_t k = 0; k < w.bounces.size() && k < 4; ++k)
        opens += (k == 0 ? "contact opens for " : ", ") + show(w.bounces[k].open);
    if (w.bounces.size() > 4) opens += ", …";
    for (const Reopening& b : w.bounces) {
        panel.features.push_back({Sort::moment, si(b.at) - start, 0, 0, amps ? opens : ""});
        opens.clear();
    }
}

} // namespace

Figure traces_figure(const TracesView& v) {
    Figure f;
    f.width = v.width;
    f.title = v.title;
    f.says = v.says;
    const double below = add_head(f, 3);
    Legend legend;
    std::vector<std::string> known;
    for (const TracePanel& panel : v.panels)
        for (const Trace& t : panel.traces)
            if (!t.name.empty() && std::find(known.begin(), known.end(), t.name) == known.end()) {
                known.push_back(t.name);
                legend.add({t.name, t.ink, 1.8, t.dash});
            }
    double y = head + below;
    if (!known.empty()) y = legend.draw(f, {edge, 60 + below}, v.width - 2 * edge) + 16;
    for (std::size_t k = 0; k < v.panels.size(); ++k) {
        const TracePanel& panel = v.panels[k];
        const bool last = k + 1 == v.panels.size();
        Frame frame{{left, y},
                    {v.width - right, y + v.panel_height},
                    {last ? v.time_name : "", "s", v.from, v.to, false},
                    axis_for(panel, v.from, v.to)};
        if (!last) frame.x.name.clear();
        draw_axes(f, frame, type);
        const std::size_t first_curve = f.shapes.size();
        for (const Trace& t : panel.traces) draw_curve(f, frame, t.seconds, t.values, t.ink, 1.3, t.dash);
        Features features(f, frame, first_curve);
        for (const TraceFeature& t : panel.features) features.draw(t);
        y += v.panel_height + (last ? foot : foot - 6 + between);
    }
    f.height = y;
    return f;
}

TracesView traces_of(const Capture& c, const Waveform& w) {
    TracesView view;
    const Samples s = samples_of(c, w);
    view.to = std::max(shown_after(c, w), 16 * c.step_seconds);
    view.from = std::max(-0.08 * view.to, s.seconds.front());
    view.title = c.file.substr(c.file.rfind('/') + 1);
    std::vector<std::string> facts;
    if (w.peak_current) facts.push_back("peak " + amperes(*w.peak_current));
    if (w.run_current) facts.push_back("run " + amperes(*w.run_current));
    if (w.sag) facts.push_back("sag " + volts(*w.sag));
    if (w.speed) facts.push_back(show(*w.speed));
    if (!w.bounces.empty())
        facts.push_back(fmt::format("{} bounce{}", w.bounces.size(), w.bounces.size() == 1 ? "" : "s"));
    for (const std::string& fact : facts) view.says += (view.says.empty() ? "" : ", ") + fact;
    for (const auto& [name, unit, values] :
         {std::tuple{"current", "A", &s.amps}, std::tuple{"volts", "V", &s.volts}}) {
        if (values->empty()) continue;
        TracePanel panel{name, unit, {{"captured", s.seconds, *values, Ink::measured, Dash::solid}}, {}};
        mark_features(panel, w, view.to);
        view.panels.push_back(std::move(panel));
    }
    return view;
}

void add_capture(TracesView& view, const Capture& c, const Waveform& w, const std::string& name) {
    static constexpr std::array<std::pair<Ink, Dash>, 4> looks{{{Ink::predicted, Dash::solid},
                                                                {Ink::faulty, Dash::dashed},
                                                                {Ink::good, Dash::dotted},
                                                                {Ink::next, Dash::dashed}}};
    const Samples s = samples_of(c, w);
    for (TracePanel& panel : view.panels) {
        const auto& values = panel.unit == "A" ? s.amps : s.volts;
        if (values.empty()) continue;
        const auto& [ink, dash] = looks[(panel.traces.size() - 1) % looks.size()];
        panel.traces.push_back({name, s.seconds, values, ink, dash});
    }
}

Trace trace_of(const SpinUp& run, std::size_t column, Time<> closing, std::string name, double factor) {
    Trace t{std::move(name), {}, {}, Ink::predicted, Dash::solid};
    for (const double s : run.seconds) t.seconds.push_back(s - si(closing));
    for (const double v : run.columns[column]) t.values.push_back(v * factor);
    return t;
}

} // namespace lostvolts

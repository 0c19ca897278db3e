#include "viewer/figures/sweep.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "viewer/figures/legend.h"
#include "viewer/figures/shapes.h"

namespace lostvolts {
namespace {

constexpr double edge = 14, left = 66, right = 22, foot = 46, type = 9.5;

void widen(Axis& axis, const std::vector<double>& values) {
    for (const double v : values) {
        if (!std::isfinite(v) || (axis.logarithmic && v <= 0)) continue;
        axis.low = std::min(axis.low, v);
        axis.high = std::max(axis.high, v);
    }
}

Axis range_of(Axis axis, const SweepView& v, bool upright) {
    if (axis.low < axis.high) return axis;
    axis.low = std::numeric_limits<double>::infinity();
    axis.high = -axis.low;
    for (const SweepCurve& c : v.curves) widen(axis, upright ? c.y : c.x);
    for (const SweepBand& b : v.bands) {
        widen(axis, upright ? b.low : b.x);
        if (upright) widen(axis, b.high);
    }
    for (const SweepMark& m : v.marks) widen(axis, {upright ? m.y : m.x});
    for (const SweepLine& l : v.lines)
        if (l.upright != upright) widen(axis, {l.at});
    if (!(axis.low <= axis.high)) axis.low = axis.logarithmic ? 1 : 0, axis.high = axis.logarithmic ? 10 : 1;
    if (!upright && axis.low < axis.high) return axis; // curves run from side to side
    if (!axis.logarithmic && axis.low > 0 && axis.low < 0.5 * axis.high) axis.low = 0;
    return rounded_out(axis, 6);
}

} // namespace

Figure sweep_figure(const SweepView& v) {
    Figure f;
    f.width = v.width;
    f.height = v.height;
    f.title = v.title;
    f.says = v.says;
    add_title(f);
    double y = 42;
    for (const std::string& line : in_lines(v.says, v.width - 2 * edge, 10, 2)) {
        f.shapes.push_back(words({edge, y}, line, 10));
        y += 14;
    }
    Legend legend;
    for (const SweepBand& b : v.bands) legend.add({b.name, b.ink, 9, Dash::solid, 0.22});
    for (const SweepCurve& c : v.curves) legend.add({c.name, c.ink, c.width, c.dash});
    y = legend.draw(f, {edge, y + 4}, v.width - 2 * edge) + 14;

    const Frame frame{
        {left, y}, {v.width - right, v.height - foot}, range_of(v.x, v, false), range_of(v.y, v, true)};
    draw_axes(f, frame, type);
    const auto inside = [&](Position p) {
        return Position{std::clamp(p.x, frame.low.x, frame.high.x),
                        std::clamp(p.y, frame.low.y, frame.high.y)};
    };
    for (const SweepBand& b : v.bands) {
        std::vector<Position> outline;
        for (std::size_t k = 0; k < b.x.size(); ++k) outline.push_back(inside(frame.at(b.x[k], b.low[k])));
        for (std::size_t k = b.x.size(); k-- > 0;) outline.push_back(inside(frame.at(b.x[k], b.high[k])));
        f.shapes.emplace_back(Fill{std::move(outline), b.ink, 0.22});
    }
    std::vector<Box> taken;
    const auto write = [&](Position at, const std::string& text, Ink ink, Align align) {
        for (const double shift : {0.0, -13.0, 13.0, -26.0, 26.0}) {
            Words w = words({at.x, at.y + shift}, text, type, ink, align, true);
            Box box = box_of(w);
            if (box.high.x > frame.high.x) w.at.x -= box.high.x - frame.high.x + 3;
            box = box_of(w);
            if (box.low.y < frame.low.y || box.high.y > frame.high.y ||
                std::any_of(taken.begin(), taken.end(), [&](const Box& b) { return overlap(b, box); }))
                continue;
            taken.push_back(box);
            return add_clear_words(f, std::move(w));
        }
    };
    for (const SweepLine& l : v.lines) {
        const Position a =
            l.upright ? Position{frame.x_at(l.at), frame.low.y} : Position{frame.low.x, frame.y_at(l.at)};
        const Position b = l.upright ? Position{a.x, frame.high.y} : Position{frame.high.x, a.y};
        if (!std::isfinite(a.x) || !std::isfinite(a.y) || a.x < frame.low.x - 1 || a.x > frame.high.x + 1 ||
            a.y < frame.low.y - 1 || a.y > frame.high.y + 1)
            continue;
        f.shapes.push_back(Stroke{{a, b}, l.ink, 1.3, Dash::dashed});
        if (l.upright)
            write({a.x + 4, frame.low.y + 12}, l.words, l.ink, Align::start);
        else
            write({frame.high.x - 4, a.y - 5}, l.words, l.ink, Align::end);
    }
    for (const SweepCurve& c : v.curves) draw_curve(f, frame, c.x, c.y, c.ink, c.width, c.dash);
    for (const SweepMark& m : v.marks) {
        const Position p = frame.at(m.x, m.y);
        f.shapes.emplace_back(Mark{p, MarkShape::diamond, 9, m.ink});
        write({p.x + 8, p.y - 6}, m.words, m.ink, Align::start);
        f.targets.push_back({{p.x - 7, p.y - 7}, {p.x + 7, p.y + 7}, none, none, m.words});
    }
    return f;
}

} // namespace lostvolts

#include "viewer/figures/axis.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "viewer/figures/shapes.h"

namespace lostvolts {
namespace {

constexpr double nearly = 1e-9;

bool takes_prefix(std::string_view unit) {
    static constexpr std::array<std::string_view, 6> units{"V", "A", "W", "s", "Ω", "Hz"};
    return std::find(units.begin(), units.end(), unit) != units.end();
}

/// The nice step next to `rough`: 1, 2 or 5 times a power of ten.
double nice_step(double rough) {
    const double power = std::pow(10, std::floor(std::log10(rough)));
    const double share = rough / power;
    return power * (share < 1.5 ? 1 : share < 3.5 ? 2 : share < 7.5 ? 5 : 10);
}

double step_of(const Axis& a, int wanted) {
    const double span = a.high - a.low;
    return std::isfinite(span) && span > 0 ? nice_step(span / std::max(wanted, 1)) : 1;
}

int decimals_of(double step) {
    return std::clamp(static_cast<int>(std::ceil(-std::log10(step) - nearly)), 0, 9);
}

std::string number(double value, int decimals) {
    if (std::abs(value) < 0.5 * std::pow(10, -decimals)) value = 0;
    std::string text = fmt::format("{:.{}f}", value, decimals);
    if (text.starts_with('-')) text.replace(0, 1, "−");
    return text;
}

std::vector<Tick> log_ticks(const Axis& a, int wanted) {
    std::vector<Tick> result;
    const double size = prefix_of(a).size;
    const double decades = std::log10(a.high / a.low);
    for (int e = static_cast<int>(std::floor(std::log10(a.low) - nearly));
         std::pow(10, e) <= a.high * (1 + nearly); ++e)
        for (int m = 1; m <= 9; ++m) {
            const double at = m * std::pow(10, e);
            if (at < a.low * (1 - nearly) || at > a.high * (1 + nearly)) continue;
            const bool told = m == 1 || ((m == 2 || m == 5) && decades * 3 <= wanted);
            const double shown = at / size;
            result.push_back({at, told ? number(shown, decimals_of(std::min(shown, 1.0))) : ""});
        }
    return result;
}

} // namespace

Prefix prefix_of(const Axis& a) {
    if (!takes_prefix(a.unit) || a.logarithmic) return {};
    const double largest = std::max(std::abs(a.low), std::abs(a.high));
    static constexpr std::array<std::pair<double, std::string_view>, 5> known{
        {{1e6, "M"}, {1e3, "k"}, {1, ""}, {1e-3, "m"}, {1e-6, "µ"}}};
    for (const auto& [size, text] : known)
        if (largest >= size * 1.0001) return {size, text};
    return {};
}

std::string Axis::title() const {
    const std::string shown = std::string(prefix_of(*this).text) + unit;
    return shown.empty() ? name : name.empty() ? shown : name + ", " + shown;
}

std::vector<Tick> ticks(const Axis& a, int wanted) {
    if (!std::isfinite(a.low) || !std::isfinite(a.high) || a.high <= a.low) return {};
    if (a.logarithmic) return a.low > 0 ? log_ticks(a, wanted) : std::vector<Tick>{};
    const Prefix prefix = prefix_of(a);
    const double step = step_of(a, wanted);
    const int decimals = decimals_of(step / prefix.size);
    std::vector<Tick> result;
    for (double k = std::ceil(a.low / step - nearly); k * step <= a.high + step * nearly; ++k)
        result.push_back({k * step, number(k * step / prefix.size, decimals)});
    return result;
}

Axis rounded_out(Axis a, int wanted) {
    if (a.logarithmic) {
        a.low = std::pow(10, std::floor(std::log10(a.low) + nearly));
        a.high = std::pow(10, std::ceil(std::log10(a.high) - nearly));
        if (a.high <= a.low) a.high = a.low * 10;
        return a;
    }
    if (!(a.high > a.low)) {
        const double room = a.low == 0 ? 1 : std::abs(a.low) * 0.1;
        a.high = a.low + room;
        a.low -= room;
    }
    const double step = step_of(a, wanted);
    a.low = std::floor(a.low / step + nearly) * step;
    a.high = std::ceil(a.high / step - nearly) * step;
    return a;
}

namespace {
double share_of(const Axis& a, double value) {
    if (a.logarithmic) return std::log(value / a.low) / std::log(a.high / a.low);
    return (value - a.low) / (a.high - a.low);
}
} // namespace

double Frame::x_at(double value) const { return low.x + share_of(x, value) * (high.x - low.x); }
double Frame::y_at(double value) const { return high.y - share_of(y, value) * (high.y - low.y); }

void draw_axes(Figure& figure, const Frame& f, double type) {
    const auto grid = [&](Position a, Position b, bool strong) {
        figure.shapes.push_back(Stroke{{a, b}, Ink::grid, strong ? 0.8 : 0.4});
    };
    const int across = std::clamp(static_cast<int>((f.high.x - f.low.x) / (type * 7)), 2, 12);
    const int up = std::clamp(static_cast<int>((f.high.y - f.low.y) / (type * 3.2)), 2, 10);
    double last = -1e9;
    for (const Tick& t : ticks(f.x, across)) {
        const double x = f.x_at(t.at);
        grid({x, f.low.y}, {x, f.high.y}, !t.text.empty());
        const double half = text_width(t.text, type) / 2;
        if (t.text.empty() || x - half < last + 3) continue;
        last = x + half;
        figure.shapes.push_back(Stroke{{{x, f.high.y}, {x, f.high.y + 3}}, Ink::quiet, 0.8});
        figure.shapes.push_back(words({x, f.high.y + 5 + type}, t.text, type, Ink::quiet, Align::middle));
    }
    last = 1e9;
    for (const Tick& t : ticks(f.y, up)) {
        const double y = f.y_at(t.at);
        grid({f.low.x, y}, {f.high.x, y}, !t.text.empty());
        if (t.text.empty() || y + type * 0.6 > last) continue;
        last = y - type * 0.6;
        figure.shapes.push_back(words({f.low.x - 5, y + type * 0.36}, t.text, type, Ink::quiet, Align::end));
    }
    figure.shapes.push_back(
        Stroke{{{f.low.x, f.low.y}, {f.low.x, f.high.y}, {f.high.x, f.high.y}}, Ink::quiet, 1});
    if (const std::string title = f.x.title(); !f.x.name.empty())
        figure.shapes.push_back(words({(f.low.x + f.high.x) / 2, f.high.y + 9 + 2.2 * type},
                                      fitted(title, f.high.x - f.low.x, type), type, Ink::quiet,
                                      Align::middle));
    if (const std::string title = f.y.title(); !title.empty()) {
        Words w = words({f.low.x - 16 - type * 2.2, (f.low.y + f.high.y) / 2},
                        fitted(title, f.high.y - f.low.y, type), type, Ink::quiet, Align::middle);
        w.upright = true;
        figure.shapes.push_back(std::move(w));
    }
}

void draw_curve(Figure& figure, const Frame& f, const std::vector<double>& x, const std::vector<double>& y,
                Ink ink, double width, Dash dash) {
    constexpr double column = 0.5; // of a point: finer than anybody sees
    Stroke stroke{{}, ink, width, dash};
    Position lowest, highest, last;
    int count = 0;
    const auto flush = [&] {
        if (count == 0) return;
        if (count > 1) {
            stroke.path.push_back(lowest.x <= highest.x ? lowest : highest);
            stroke.path.push_back(lowest.x <= highest.x ? highest : lowest);
        }
        stroke.path.push_back(last);
        count = 0;
    };
    const auto finish = [&] {
        flush();
        if (stroke.path.size() > 1) figure.shapes.push_back(stroke);
        stroke.path.clear();
    };
    for (std::size_t k = 0; k < std::min(x.size(), y.size()); ++k) {
        Position p = f.at(x[k], y[k]);
        if (!std::isfinite(p.x) || !std::isfinite(p.y) || p.x < f.low.x - 0.01 || p.x > f.high.x + 0.01) {
            finish();
            continue;
        }
        p.y = std::clamp(p.y, f.low.y, f.high.y);
        if (count > 0 && p.x - std::min(lowest.x, highest.x) > column) flush();
        if (count == 0)
            lowest = highest = p;
        else if (p.y < highest.y)
            highest = p;
        else if (p.y > lowest.y)
            lowest = p;
        last = p;
        ++count;
    }
    finish();
}

} // namespace lostvolts

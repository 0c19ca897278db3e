#include "viewer/figures/staircase.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "viewer/figures/axis.h"
#include "viewer/figures/clear_place.h"
#include "viewer/figures/legend.h"
#include "viewer/figures/loop_words.h"
#include "viewer/figures/shapes.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

constexpr double type = 9, name_size = 8.5, side_room = 58, top_room = 84, load_slot = 120, least_slot = 21,
                 flag_size = 10;
constexpr double least_span = 0.3; // volts: a sound loop shouldn't look like a cliff

std::string drop_text(double volts) { return value_text(Measurand::voltage, volts); }

class Stairs {
  public:
    Stairs(const Circuit& c, const CurrentPath& p, const StaircaseView& v)
        : c_(c), p_(p), v_(v), heights_(stair_heights(*v.prediction, p)) {
        if (v.healthy) healthy_ = healthy_heights();
        const double n = static_cast<double>(p.parts.size());
        f_.width = std::max(v.width, 2 * side_room + load_slot + (n - 1) * least_slot);
        slot_ = (f_.width - 2 * side_room - load_slot) / std::max(n - 1, 1.0);
        double names = 0;
        for (const PointId q : p.points) names = std::max(names, text_width(point_name(c, q), name_size));
        for (const PartId q : p.parts)
            names = std::max(names, text_width(c.parts[at(q)].name, name_size, true));
        name_room_ = std::min(names + 1, 150.0);
        f_.height = std::max(v.height, top_room + 180 + name_room_);
        frame_ = {{side_room, top_room},
                  {f_.width - side_room, f_.height - name_room_ - 18},
                  {},
                  {"", "", 0, span(), false}};
    }

    Figure done() {
        scales();
        band();
        stair(healthy_, Ink::healthy, 1.4, Dash::dashed);
        stair(heights_, Ink::predicted, 2.4, Dash::solid);
        suspects();
        load();
        for (const MeasuredDrop& m : v_.measured) measured(m);
        step_values();
        f_.shapes.insert(f_.shapes.end(), flags_.begin(), flags_.end());
        names();
        heading();
        return std::move(f_);
    }

  private:
    double span() const {
        double most = least_span;
        for (const auto* heights : {&heights_, &healthy_})
            for (const double h : *heights)
                if (std::isfinite(h)) most = std::max(most, h);
        for (const MeasuredDrop& m : v_.measured)
            if (const auto place = place_of(m)) most = std::max(most, place->height + m.half);
        return rounded_out({"", "", 0, most * 1.06, false}, 8).high;
    }
    double x_of(std::size_t point) const {
        const double k = static_cast<double>(point);
        return side_room + (point <= p_.load_at ? k * slot_ : (k - 1) * slot_ + load_slot);
    }
    double riser_x(std::size_t part) const { return (x_of(part) + x_of(part + 1)) / 2; }
    double y_of(double height) const { return frame_.y_at(height); }

    /// What the points of the feed lie higher in truth than they are drawn.
    double cut() const {
        const auto &a = volts_at(p_.load_at), &b = volts_at(p_.load_at + 1);
        return a && b ? si(*a - *b) + low() : 0;
    }
    double low() const {
        const auto& v = volts_at(p_.points.size() - 1);
        return v ? si(*v) : 0;
    }
    const std::optional<Voltage<>>& volts_at(std::size_t k) const {
        return v_.prediction->points[at(p_.points[k])];
    }
    /// Of the sound circuit, by the same scales: its own volts at each point.
    std::vector<double> healthy_heights() const {
        std::vector<double> heights;
        for (std::size_t k = 0; k < p_.points.size(); ++k) {
            const auto& v = v_.healthy->points[at(p_.points[k])];
            heights.push_back(v ? si(*v) - (k <= p_.load_at ? cut() : low()) : std::nan(""));
        }
        return heights;
    }
    double load_volts() const { return std::abs(si(v_.prediction->parts[at(p_.load)].drop)); }

    void scales() {
        for (const Tick& t : ticks(frame_.y, 8)) {
            const double y = y_of(t.at);
            f_.shapes.push_back(Stroke{{{frame_.low.x, y}, {frame_.high.x, y}}, Ink::grid, 0.8});
            f_.shapes.push_back(words({frame_.high.x + 6, y + 3}, t.text, type, Ink::quiet));
        }
        Axis feed{"", "", cut(), cut() + frame_.y.high, false};
        for (const Tick& t : ticks(feed, 8)) {
            const double y = y_of(t.at - cut());
            f_.shapes.push_back(Stroke{{{frame_.low.x - 3, y}, {frame_.low.x, y}}, Ink::quiet, 0.8});
            f_.shapes.push_back(words({frame_.low.x - 6, y + 3}, t.text, type, Ink::quiet, Align::end));
        }
        for (const double x : {frame_.low.x, frame_.high.x})
            f_.shapes.push_back(Stroke{{{x, frame_.low.y}, {x, frame_.high.y}}, Ink::quiet, 1});
        f_.shapes.push_back(
            Stroke{{{frame_.low.x, frame_.high.y}, {frame_.high.x, frame_.high.y}}, Ink::quiet, 1});
        const double middle = (frame_.low.y + frame_.high.y) / 2;
        for (const auto& [x, text] : {std::pair{frame_.low.x - 42, "volts on the way out"},
                                      std::pair{frame_.high.x + 46, "volts on the way back"}}) {
            Words w = words({x, middle}, text, type, Ink::quiet, Align::middle);
            w.upright = true;
            f_.shapes.push_back(std::move(w));
        }
    }

    /// First and last point of the way out and of the way back.
    std::array<std::pair<std::size_t, std::size_t>, 2> sides() const {
        return {{{0, p_.load_at}, {p_.load_at + 1, p_.points.size() - 1}}};
    }
    std::vector<Position> outline(const std::vector<double>& heights, std::size_t from, std::size_t to,
                                  double shift = 0, bool with_bands = false) const {
        std::vector<Position> path;
        for (std::size_t k = from; k <= to; ++k) {
            const double h = heights[k] + (with_bands ? shift * v_.bands[k] : 0);
            const double left = k == from ? x_of(k) : riser_x(k - 1), right = k == to ? x_of(k) : riser_x(k);
            path.push_back({left, y_of(std::clamp(h, 0.0, frame_.y.high))});
            path.push_back({right, path.back().y});
        }
        return path;
    }
    void stair(const std::vector<double>& heights, Ink ink, double width, Dash dash) {
        if (heights.empty()) return;
        for (const auto& [from, to] : sides())
            f_.shapes.push_back(Stroke{outline(heights, from, to), ink, width, dash});
    }
    void band() {
        if (v_.bands.size() != p_.points.size()) return;
        for (const auto& [from, to] : sides()) {
            auto path = outline(heights_, from, to, 1, true);
            const auto under = outline(heights_, from, to, -1, true);
            path.insert(path.end(), under.rbegin(), under.rend());
            f_.shapes.push_back(Fill{std::move(path), Ink::predicted, 0.2});
        }
    }

    const ShownSuspect* suspect(PartId p) const {
        for (const ShownSuspect& s : v_.suspects)
            if (s.part == p) return &s;
        return nullptr;
    }
    std::vector<std::vector<Position>> both_sides() const {
        std::vector<std::vector<Position>> paths;
        for (const auto& [from, to] : sides()) paths.push_back(outline(heights_, from, to));
        return paths;
    }
    void suspects() {
        for (std::size_t k = 0; k < p_.parts.size(); ++k) {
            const ShownSuspect* s = suspect(p_.parts[k]);
            if (!s || k == p_.load_at) continue;
            const double x = riser_x(k), a = y_of(heights_[k]), b = y_of(heights_[k + 1]);
            const double half = std::min(slot_ / 2, 26.0);
            const bool leading = s == &v_.suspects.front();
            f_.shapes.push_back(
                Fill{rectangle({x - half, frame_.low.y}, {x + half, frame_.high.y}), Ink::suspect, 0.08});
            f_.shapes.push_back(Stroke{{{x, a}, {x, b}}, Ink::suspect, leading ? 5.0 : 3.5});
            if (!leading) continue;
            const std::string text = fmt::format("{}: {} lost", c_.parts[at(p_.parts[k])].name,
                                                 drop_text(std::abs(heights_[k] - heights_[k + 1])));
            const FlagSize size = size_of_flag(text, flag_size);
            const double top = std::min(a, b), foot = std::max(a, b), aside = size.half + 6,
                         above = size.tall + 8;
            const Position place = clear_place({{x + aside, (top + foot) / 2},
                                                {x - aside, (top + foot) / 2},
                                                {x + aside, top - above},
                                                {x, top - above},
                                                {x - aside, top - above},
                                                {x - aside, foot + above},
                                                {x, foot + above}},
                                               size, {frame_.low, frame_.high}, both_sides());
            Figure flag; // painted last, over whatever lies there
            taken_.push_back(add_flag(flag, place, text, flag_size, Ink::suspect));
            flags_.insert(flags_.end(), flag.shapes.begin(), flag.shapes.end());
        }
    }

    void load() {
        const double left = x_of(p_.load_at), right = x_of(p_.load_at + 1);
        const double a = y_of(heights_[p_.load_at]), b = y_of(heights_[p_.load_at + 1]);
        const double middle = (left + right) / 2;
        f_.shapes.push_back(Stroke{{{left, a}, {middle - 4, a}}, Ink::predicted, 1.6, Dash::dotted});
        f_.shapes.push_back(Stroke{{{middle + 4, b}, {right, b}}, Ink::predicted, 1.6, Dash::dotted});
        for (const double shift : {-4.0, 4.0}) // the cut
            f_.shapes.push_back(
                Stroke{{{middle + shift - 3, (a + b) / 2 + 8}, {middle + shift + 3, (a + b) / 2 - 8}},
                       Ink::predicted,
                       1.6});
        std::vector<std::string> lines = in_even_lines(c_.parts[at(p_.load)].name, load_slot - 10, type, 2);
        lines.push_back("gets " + drop_text(load_volts()));
        for (const MeasuredDrop& m : v_.measured)
            if (over_load(m)) lines.push_back("measured " + drop_text(std::abs(m.volts)));
        const bool above = std::min(a, b) - frame_.low.y > 20 + 12.0 * static_cast<double>(lines.size());
        double y =
            above ? std::min(a, b) - 14 - 12 * static_cast<double>(lines.size() - 1) : std::max(a, b) + 22;
        for (std::size_t k = 0; k < lines.size(); ++k, y += 12) {
            const Ink ink = lines[k].starts_with("measured") ? Ink::measured
                            : lines[k].starts_with("gets")   ? Ink::predicted
                                                             : Ink::text;
            add(words({middle, y}, lines[k], type, ink, Align::middle, ink != Ink::text));
        }
    }

    struct Place {
        std::size_t point; ///< of the path, where it is drawn
        std::size_t from;  ///< the other lead
        double height;
    };
    std::optional<std::size_t> index_of(PointId p) const {
        const auto it = std::find(p_.points.begin(), p_.points.end(), p);
        if (it == p_.points.end()) return std::nullopt;
        return static_cast<std::size_t>(it - p_.points.begin());
    }
    bool over_load(const MeasuredDrop& m) const {
        const auto red = index_of(m.red), black = index_of(m.black);
        return red && black && std::min(*red, *black) == p_.load_at &&
               std::max(*red, *black) == p_.load_at + 1;
    }
    /// Readings within one side: from the predicted height of the lead nearer to the source.
    std::optional<Place> place_of(const MeasuredDrop& m) const {
        const auto red = index_of(m.red), black = index_of(m.black);
        if (!red || !black || *red == *black) return std::nullopt;
        const std::size_t first = std::min(*red, *black), last = std::max(*red, *black);
        if (first <= p_.load_at && last > p_.load_at) return std::nullopt;
        const double volts = *red < *black ? m.volts : -m.volts;
        if (last <= p_.load_at) return Place{last, first, heights_[first] - volts};
        return Place{first, last, heights_[last] + volts};
    }
    void measured(const MeasuredDrop& m) {
        const auto place = place_of(m);
        if (!place) return;
        const double x = x_of(place->point), y = y_of(place->height);
        const double half = y_of(0) - y_of(m.half);
        if (place->from != 0 && place->from + 1 != p_.points.size())
            f_.shapes.push_back(
                Stroke{{{x, y_of(heights_[place->from])}, {x, y}}, Ink::measured, 1, Dash::dotted});
        f_.shapes.push_back(Stroke{{{x, y - half}, {x, y + half}}, Ink::measured, 1.6});
        for (const double end : {-half, half})
            f_.shapes.push_back(Stroke{{{x - 4, y + end}, {x + 4, y + end}}, Ink::measured, 1.6});
        f_.shapes.push_back(Mark{{x, y}, MarkShape::diamond, 8, Ink::measured});
        const std::string text = drop_text(std::abs(m.volts));
        const bool feed = place->point <= p_.load_at;
        add(words({x, feed ? y + half + 13 : y - half - 6}, text, name_size, Ink::measured, Align::middle,
                  true));
        f_.targets.push_back({{x - 8, y - 8},
                              {x + 8, y + 8},
                              p_.points[place->point],
                              none,
                              fmt::format("measured {}, give or take {}", text, drop_text(m.half))});
    }

    void step_values() {
        for (std::size_t k = 0; k < p_.parts.size(); ++k) {
            if (k == p_.load_at || suspect(p_.parts[k])) continue;
            const double a = y_of(heights_[k]), b = y_of(heights_[k + 1]);
            if (std::abs(a - b) < 9) continue;
            add(words({riser_x(k) + 5, (a + b) / 2 + 3}, drop_text(std::abs(heights_[k] - heights_[k + 1])),
                      name_size, Ink::predicted));
        }
    }

    /// Words that find room; those that don't are in a target all the same.
    void add(Words w) {
        const Box box = box_of(w);
        if (std::any_of(taken_.begin(), taken_.end(), [&](const Box& b) { return overlap(b, box); })) return;
        taken_.push_back(box);
        add_clear_words(f_, std::move(w));
    }

    void names() {
        const double y = frame_.high.y + 8;
        const auto upright = [&](double x, const std::string& name, Ink ink, bool bold) {
            Words w = words({x + 3, y}, fitted(name, name_room_, name_size, bold), name_size, ink, Align::end,
                            bold);
            w.upright = true;
            f_.shapes.push_back(std::move(w));
        };
        for (std::size_t k = 0; k < p_.points.size(); ++k) {
            const double x = x_of(k);
            f_.shapes.push_back(Stroke{{{x, frame_.high.y}, {x, frame_.high.y + 4}}, Ink::quiet, 1});
            upright(x, point_name(c_, p_.points[k]), Ink::quiet, false);
            f_.targets.push_back({{x - 5, frame_.high.y},
                                  {x + 5, f_.height},
                                  p_.points[k],
                                  none,
                                  point_says(c_, p_.points[k], v_.prediction)});
        }
        for (std::size_t k = 0; k < p_.parts.size(); ++k) {
            const double x = riser_x(k);
            const bool bad = suspect(p_.parts[k]);
            upright(x, c_.parts[at(p_.parts[k])].name, bad ? Ink::suspect : Ink::text, bad);
            f_.targets.push_back({{x - 5, frame_.low.y},
                                  {x + 5, f_.height},
                                  none,
                                  p_.parts[k],
                                  part_says(c_, p_.parts[k], false, v_.prediction)});
        }
    }

    void heading() {
        f_.title = (c_.name.empty() ? c_.file : c_.name) + (v_.heading.empty() ? "" : ", " + v_.heading);
        const double out = heights_.front() - heights_[p_.load_at], back = heights_[p_.load_at + 1];
        f_.says = fmt::format("{} lost on the way out, {} on the way back; {} gets {} of {}.", drop_text(out),
                              drop_text(back), c_.parts[at(p_.load)].name, drop_text(load_volts()),
                              drop_text(load_volts() + out + back));
        add_head(f_);
        Legend legend;
        legend.add({"predicted", Ink::predicted, 2.4});
        if (!v_.bands.empty())
            legend.add({"within healthy parts' tolerance (95 %)", Ink::predicted, 9, Dash::solid, 0.2});
        if (v_.healthy) legend.add({"healthy", Ink::healthy, 1.4, Dash::dashed});
        if (std::any_of(v_.measured.begin(), v_.measured.end(),
                        [&](const auto& m) { return place_of(m).has_value(); }))
            legend.add({"measured", Ink::measured, 1.6, Dash::solid, 1, MarkShape::diamond});
        legend.draw(f_, {14, 64}, f_.width - 28);
    }

    const Circuit& c_;
    const CurrentPath& p_;
    const StaircaseView& v_;
    std::vector<double> heights_, healthy_;
    double slot_ = 0, name_room_ = 0;
    Frame frame_;
    std::vector<Box> taken_;
    std::vector<Shape> flags_;
    Figure f_;
};

} // namespace

std::vector<MeasuredDrop> measured_drops(const Readings& readings, int state) {
    std::vector<MeasuredDrop> drops;
    for (const Reading& r : readings.readings) {
        if (r.state != state || r.quantity != Measurand::voltage) continue;
        const Accuracy accuracy = r.meter == none ? Meter{}.accuracy : readings.meters[at(r.meter)].accuracy;
        drops.push_back(
            {r.red, r.black, r.value, accuracy.share * std::abs(r.value) + accuracy.counts * r.resolution});
    }
    return drops;
}

std::vector<double> stair_heights(const StatePrediction& prediction, const CurrentPath& path) {
    std::vector<double> heights;
    const auto volts_at = [&](std::size_t k) {
        const auto& v = prediction.points[at(path.points[k])];
        return v ? si(*v) : std::nan("");
    };
    const double low = volts_at(path.points.size() - 1);
    const double load = volts_at(path.load_at) - volts_at(path.load_at + 1);
    for (std::size_t k = 0; k < path.points.size(); ++k)
        heights.push_back(volts_at(k) - low - (k <= path.load_at ? load : 0));
    return heights;
}

Figure staircase_figure(const Circuit& circuit, const CurrentPath& path, const StaircaseView& view) {
    if (path.points.size() < 2 || !view.prediction) return {};
    return Stairs(circuit, path, view).done();
}

} // namespace lostvolts

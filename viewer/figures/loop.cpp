#include "viewer/figures/loop.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "viewer/figures/loop_words.h"
#include "viewer/figures/shapes.h"
#include "viewer/figures/symbols.h"
#include "viewer/figures/words.h"

namespace lostvolts {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }
constexpr double name_size = 9, small_size = 8, value_size = 9, leading = 10.5;
constexpr double heading_room = 34, edge = 14, note_leading = 14, hop = 4.5;

bool in_full(const std::string& text, double width, double size) {
    return hold_whole_words(in_lines(text, width, size, 2), text);
}

struct Line {
    std::string text;
    double size = name_size;
    Ink ink = Ink::text;
    bool bold = false;
};

class Drawing {
  public:
    Drawing(const Circuit& c, const Sketch& s, const LoopView& v) : c_(c), s_(s), v_(v) {
        figure_.width = s.width + edge;
        larger_ = std::clamp(v.larger, 1.0, most_larger);
        brief_ = larger_ > 1.01;
        figure_.type = larger_ * name_size;
        figure_.height = s.height;
        constexpr int at_a_source = 3; // more than a chain has
        touching_.resize(c.points.size());
        for (const Part& part : c.parts)
            for (const PointId p : {part.from, part.to, part.coil_from, part.coil_to}) {
                if (p == none) continue;
                const bool main = p == part.from || p == part.to;
                touching_[at(p)] += main && is_source(part.law) ? at_a_source : 1;
            }
    }

    Figure done() {
        for (const SketchLine& l : s_.lines) wire(l);
        for (const Position p : s_.joints) figure_.shapes.push_back(Mark{p, MarkShape::dot, 5, Ink::wire});
        for (const PlacedPart& p : s_.parts) part(p);
        for (const PlacedPoint& p : s_.points) point(p);
        for (const ShownReading& r : v_.readings) leads(r);
        move_by(figure_, {0, heading_room});
        figure_.height += heading_room;
        heading();
        notes();
        figure_.says = c_.name + (v_.heading.empty() ? "" : ", " + v_.heading) + ".";
        for (const std::string& note : v_.notes) figure_.says += ' ' + note;
        return std::move(figure_);
    }

  private:
    const PartResult* result_of(PartId p) const {
        return v_.prediction && p != none ? &v_.prediction->parts[at(p)] : nullptr;
    }
    const State* state() const {
        return v_.state >= 0 && v_.state < static_cast<int>(c_.states.size()) ? &c_.states[at(v_.state)]
                                                                              : nullptr;
    }
    std::optional<double> volts_between(PointId a, PointId b) const {
        if (!v_.prediction || !v_.prediction->points[at(a)] || !v_.prediction->points[at(b)])
            return std::nullopt;
        return si(*v_.prediction->points[at(a)] - *v_.prediction->points[at(b)]);
    }
    bool taken_out(PartId p) const { return state() && holds(state()->removed, p); }
    bool bridged(PartId p) const { return state() && holds(state()->bridged, p); }
    bool closed_now(PartId p) const {
        if (v_.prediction && holds(v_.prediction->relays_closed, p)) return true;
        return state() && holds(state()->closed, p);
    }
    const ShownSuspect* suspect(PartId p) const {
        for (const ShownSuspect& s : v_.suspects)
            if (s.part == p) return &s;
        return nullptr;
    }

    double width_of(PartId p) const {
        if (p == none) return 1.6;
        if (const auto* w = std::get_if<Wire<>>(&c_.parts[at(p)].law); w && w->settings.sized)
            return std::clamp(0.9 + 0.42 * std::sqrt(si(w->settings.size.area) * 1e6), 1.2, 4.5);
        return 1.6;
    }

    void wire(const SketchLine& l) {
        const bool out = l.part != none && taken_out(l.part);
        Stroke stroke{{l.a}, Ink::wire, width_of(l.part), out ? Dash::dotted : Dash::solid};
        if (std::abs(l.a.x - l.b.x) < 0.5) { // over what it crosses, a small bow
            std::vector<Position> here;
            auto c = std::partition_point(s_.crossings.begin(), s_.crossings.end(),
                                          [&](Position p) { return p.x < l.a.x - 0.5; });
            for (; c != s_.crossings.end() && c->x < l.a.x + 0.5; ++c)
                if (const Position p = *c;
                    p.y > std::min(l.a.y, l.b.y) + 0.5 && p.y < std::max(l.a.y, l.b.y) - 0.5)
                    here.push_back(p);
            const bool down = l.a.y < l.b.y;
            std::sort(here.begin(), here.end(),
                      [&](Position a, Position b) { return down ? a.y < b.y : a.y > b.y; });
            for (const Position p : here) {
                figure_.shapes.push_back(
                    Fill{rectangle({p.x - 1, p.y - hop}, {p.x + hop, p.y + hop}), Ink::paper, 1});
                figure_.shapes.push_back(Stroke{{{p.x - hop, p.y}, {p.x + hop + 1, p.y}}, Ink::wire, 1.6});
                const auto bow = down ? arc(p, hop, -90, 90) : arc(p, hop, 90, -90);
                stroke.path.insert(stroke.path.end(), bow.begin(), bow.end());
            }
        }
        stroke.path.push_back(l.b);
        figure_.shapes.push_back(std::move(stroke));
    }

    std::string name_of_part(const PlacedPart& p) const {
        return c_.parts[at(p.part)].name + (p.coil ? ", coil" : "");
    }

    /// What is written beside a part, its name last in `names`.
    std::vector<Line> lines_of(const PlacedPart& p) const {
        const AnyPart& law = c_.parts[at(p.part)].law;
        const ShownSuspect* s = p.coil ? nullptr : suspect(p.part);
        std::vector<Line> lines;
        if (!p.coil && !brief_ && !(s && !p.upright))
            if (const std::string more = detail_of(law); !more.empty())
                lines.push_back({more, small_size, Ink::quiet, false});
        if (taken_out(p.part)) {
            lines.push_back({"taken out", small_size, Ink::text, true});
            return lines;
        }
        if (bridged(p.part) && !p.coil) lines.push_back({"jumper", small_size, Ink::text, true});
        const PartResult* r = result_of(p.part);
        if (p.coil) {
            const Part& part = c_.parts[at(p.part)];
            if (const auto across = volts_between(part.coil_from, part.coil_to))
                lines.push_back({value_text(Measurand::voltage, *across), value_size, Ink::predicted, true});
            return lines;
        }
        if (!r || !r->in_circuit) {
            if (r) lines.push_back({"open", value_size, Ink::text, true});
            return lines;
        }
        const bool weighty = is_load(law) || is_source(law);
        std::string value = value_text(Measurand::voltage, std::abs(si(r->drop)));
        if (r->over_limit && r->limit && (p.upright || !near_leads(p))) {
            const std::string with_limit = fmt::format("{} > {:.3g} V", value, si(*r->limit));
            if (!brief_ || text_width(with_limit, larger_ * value_size, true) < p.room) value = with_limit;
        }
        const Ink ink = s ? Ink::suspect : r->over_limit ? Ink::bad : Ink::predicted;
        if (p.upright) {
            lines.push_back({value, value_size, ink, true});
            lines.push_back(
                {amperes(from_si<Current<>>(std::abs(si(r->current)))), value_size, Ink::predicted, true});
            for (const MotorResult& m : v_.prediction->motors)
                if (m.part == p.part)
                    lines.push_back({state() && holds(state()->locked, p.part) ? "held" : show(m.speed),
                                     value_size, Ink::predicted, true});
        } else if (branches_here(p) || weighty) {
            const std::string both = value + " · " + amperes(from_si<Current<>>(std::abs(si(r->current))));
            const double room = near_leads(p) ? p.room - 34 : p.room;
            lines.push_back(
                {text_width(both, larger_ * value_size, true) < room ? both : value, value_size, ink, true});
        } else {
            lines.push_back({value, value_size, ink, true});
        }
        return lines;
    }

    /// The current through it is not that of the part before it.
    bool branches_here(const PlacedPart& p) const {
        const Part& part = c_.parts[at(p.part)];
        const PointId left = p.from_first ? part.from : part.to;
        return touching_[at(left)] > 2;
    }
    bool near_leads(const PlacedPart& p) const {
        const Part& part = c_.parts[at(p.part)];
        return std::any_of(v_.readings.begin(), v_.readings.end(), [&](const ShownReading& r) {
            return r.red == part.from || r.red == part.to || r.black == part.from || r.black == part.to;
        });
    }

    void part(const PlacedPart& p) {
        const Part& part = c_.parts[at(p.part)];
        const ShownSuspect* s = p.coil ? nullptr : suspect(p.part);
        const SymbolLook look{p.coil, closed_now(p.part), p.upright, p.from_first,
                              s ? Ink::suspect : Ink::part};
        Symbol symbol = symbol_of(part.law, p.at, look);
        const double along = std::max(symbol.half, 12.0), across = symbol.tall;
        Box box = p.upright ? Box{{p.at.x - across, p.at.y - along}, {p.at.x + across, p.at.y + along}}
                            : Box{{p.at.x - along, p.at.y - across}, {p.at.x + along, p.at.y + across}};
        if (s || p.part == v_.chosen) {
            const double wide = p.upright ? 7 : 9;
            Box halo{{box.low.x - wide, box.low.y - 4}, {box.high.x + wide, box.high.y + 4}};
            if (!p.upright) halo.high.y = std::min(halo.high.y, p.at.y + 8.5); // a point's name begins there
            const Ink ink = s ? Ink::suspect : Ink::next;
            figure_.shapes.push_back(Fill{rectangle(halo.low, halo.high), ink, 0.14});
            figure_.shapes.push_back(Stroke{closed(rectangle(halo.low, halo.high)), ink,
                                            s && s == &v_.suspects.front() ? 1.8 : 1.0, Dash::dashed});
            box = halo;
        }
        if (taken_out(p.part))
            for (Shape& shape : symbol.shapes)
                if (auto* stroke = std::get_if<Stroke>(&shape)) stroke->dash = Dash::dotted;
        if (s && is_any<Wire<>>(part.law))
            figure_.shapes.push_back(
                Stroke{p.upright ? std::vector<Position>{{p.at.x, p.at.y - 20}, {p.at.x, p.at.y + 20}}
                                 : std::vector<Position>{{p.at.x - 20, p.at.y}, {p.at.x + 20, p.at.y}},
                       Ink::suspect, width_of(p.part) + 1});
        figure_.shapes.insert(figure_.shapes.end(), symbol.shapes.begin(), symbol.shapes.end());
        if (bridged(p.part) && !p.coil) jumper(p);
        write(p, lines_of(p), s, box);
    }

    void jumper(const PlacedPart& p) {
        std::vector<Position> path = arc({0, 0}, 24, 180, 360);
        for (Position& q : path)
            q = p.upright ? Position{p.at.x - q.y * 0.6, p.at.y + q.x}
                          : Position{p.at.x + q.x, p.at.y + q.y * 0.6};
        figure_.shapes.push_back(Stroke{std::move(path), Ink::text, 2});
    }

    void write(const PlacedPart& p, std::vector<Line> lines, const ShownSuspect* s, Box box) {
        const bool squeezed = brief_ && !p.upright && near_leads(p); // between the flags of leads
        const std::string flag = !s                 ? ""
                                 : !s->flag.empty() ? s->flag
                                 : squeezed         ? percent(s->probability)
                                                    : "suspect " + percent(s->probability);
        const auto here = std::find_if(v_.readings.begin(), v_.readings.end(),
                                       [&](const ShownReading& r) { return r.at == p.part && !p.coil; });
        std::vector<Line> all;
        double size = larger_ * name_size; // as much larger as the name has room for
        const std::string name = name_of_part(p);
        const double between = p.room - 34,
                     room = squeezed && in_full(name, between, size) ? between : p.room;
        while (size > name_size && !in_full(name, room, size)) size -= 0.25;
        for (std::string& line : in_even_lines(name, room, size, 2))
            all.push_back({std::move(line), size, Ink::text, false});
        const std::size_t names = all.size();
        if (!flag.empty()) all.push_back({flag, larger_ * small_size, Ink::suspect, true});
        for (Line& line : lines) {
            line.size *= larger_;
            // Over a row a name in two lines and a flag have the room, and between leads a name in one.
            if (!brief_ || p.upright || flag.empty() || (names == 1 && !squeezed))
                all.push_back(std::move(line));
        }
        if (here != v_.readings.end())
            all.push_back({instrument_at(here->quantity), larger_ * value_size, Ink::next, true});
        if (!p.upright && all.size() > 5) all.erase(all.begin() + 1);

        const double line_height = leading * (1 + 0.75 * (larger_ - 1));
        Position where;
        if (p.upright) {
            where = {box.high.x + 6, p.at.y - (static_cast<double>(all.size()) / 2 - 0.8) * line_height};
        } else {
            const double jump = bridged(p.part) ? 6 : 0;
            where = {p.at.x, box.low.y - 4 - jump - static_cast<double>(all.size() - 1) * line_height};
        }
        const double below_flag = 2 + 2 * (larger_ - 1); // the volts keep clear of it
        if (!flag.empty()) where.y -= 2.5 * larger_ + (p.upright ? 0 : below_flag); // taller than its words
        for (Line& line : all) {
            if (!flag.empty() && line.text == flag) where.y += 2.5 * larger_;
            const std::string text = fitted(line.text, p.room, line.size, line.bold);
            const bool is_flag = line.text == flag && !flag.empty();
            const double half = text_width(text, line.size, true) / 2 + 4;
            if (is_flag)
                add_flag(figure_, {p.upright ? where.x + half - 4 : where.x, where.y - 3 * larger_}, text,
                         line.size, Ink::suspect);
            else
                figure_.shapes.push_back(words(where, text, line.size, line.ink,
                                               p.upright ? Align::start : Align::middle, line.bold));
            box.low.y = std::min(box.low.y, where.y - line.size);
            box.high.y = std::max(box.high.y, where.y + 2);
            box.high.x = std::max(box.high.x, where.x + (p.upright ? 2 * half : half));
            if (!p.upright) box.low.x = std::min(box.low.x, where.x - half);
            where.y += line_height + (is_flag ? below_flag : 0);
        }
        figure_.targets.push_back(
            {box.low, box.high, none, p.part, part_says(c_, p.part, p.coil, v_.prediction)});
    }

    /// What is written beside a part below may reach up to a point.
    bool clear_of_parts(const Words& w) const {
        const Box box = box_of(w);
        return std::none_of(figure_.targets.begin(), figure_.targets.end(), [&](const Target& t) {
            return t.part != none && overlap({t.low, t.high}, box, 1);
        });
    }

    void point(const PlacedPoint& p) {
        figure_.shapes.push_back(Mark{p.at, MarkShape::ring, 5.5, Ink::wire});
        const std::string& name = point_name(c_, p.point);
        double size = larger_ * small_size;
        while (size > small_size && !in_full(name, p.room, size)) size -= 0.25;
        double x = p.at.x + 5, y = p.at.y + 7 + size;
        if (p.point == c_.ground) {
            figure_.shapes.push_back(Stroke{{{p.at.x, p.at.y + 3}, {p.at.x, p.at.y + 9}}, Ink::wire, 1.6});
            figure_.shapes.push_back(Mark{{p.at.x, p.at.y + 9}, MarkShape::ground, 13, Ink::wire});
            x += 6;
        }
        Box box{{p.at.x - 7, p.at.y - 7}, {p.at.x + 7, p.at.y + 7}};
        std::string value;
        if (v_.prediction && p.point != c_.ground) {
            const auto& v = v_.prediction->points[at(p.point)];
            value = v ? volts(*v) : "floats";
        }
        const auto names = in_even_lines(name, p.room, size, 2);
        for (const std::string& line : names) {
            figure_.shapes.push_back(words({x, y}, line, size, Ink::quiet));
            box.high = {std::max(box.high.x, x + text_width(line, size)), y + 2};
            y += (leading - 1) * (1 + 0.75 * (larger_ - 1));
        }
        const Words volts_here = words({x, y}, value, size, Ink::predicted, Align::start, true);
        if (!value.empty() && (!brief_ || (names.size() < 2 && clear_of_parts(volts_here)))) {
            figure_.shapes.push_back(volts_here);
            box.high.y = y + 2;
        }
        figure_.targets.push_back({box.low, box.high, p.point, none, point_says(c_, p.point, v_.prediction)});
    }

    void leads(const ShownReading& r) {
        for (const auto& [point, word] : {std::pair{r.red, "red"}, std::pair{r.black, "black"}}) {
            if (point == none) continue;
            const Position p = s_.points[at(point)].at;
            figure_.shapes.push_back(
                Fill{{{p.x - 4, p.y - 10}, {p.x + 4, p.y - 10}, {p.x, p.y - 3}}, r.ink, 1});
            add_flag(figure_, {p.x, p.y - 9 - 0.75 * larger_ * small_size}, lead_flag(r.quantity, word),
                     larger_ * small_size, r.ink);
            figure_.shapes.push_back(Mark{p, MarkShape::ring, 8, r.ink});
        }
    }

    void heading() {
        figure_.title = c_.name.empty() ? c_.file : c_.name;
        const double room = figure_.width - 2 * edge;
        const double size = 13;
        const std::string title = fitted(figure_.title, room, size, true);
        figure_.shapes.push_back(words({edge, 22}, title, size, Ink::text, Align::start, true));
        const double after = edge + text_width(title, size, true) + 20;
        if (const double left = figure_.width - edge - after; left > 60 && !v_.heading.empty())
            figure_.shapes.push_back(words({after, 22}, fitted(v_.heading, left, 10.5), 10.5, Ink::quiet));
    }

    void notes() {
        double y = figure_.height + 8;
        for (const std::string& note : v_.notes)
            for (const std::string& line : in_lines(note, figure_.width - 2 * edge, 10, 3)) {
                figure_.shapes.push_back(words({edge, y}, line, 10, Ink::text));
                y += note_leading;
            }
        if (!v_.notes.empty())
            figure_.height = y + 4;
        else
            figure_.height += 8;
    }

    const Circuit& c_;
    const Sketch& s_;
    const LoopView& v_;
    double larger_ = 1; ///< letters
    bool brief_ = false;
    std::vector<int> touching_; ///< parts and coils, per point
    Figure figure_;
};

} // namespace

Figure loop_figure(const Circuit& circuit, const Sketch& sketch, const LoopView& view) {
    return Drawing(circuit, sketch, view).done();
}

} // namespace lostvolts

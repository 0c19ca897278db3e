#include "viewer/figures/sketch_checks.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

#include "viewer/figures/type.h"

namespace lostvolts {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

struct Stretch {
    double from, to;
};

/// Stretches along one row or column of one net, overlapping ones made one.
class Track {
  public:
    void add(double a, double b) { stretches_.push_back({std::min(a, b), std::max(a, b)}); }
    void close() {
        std::sort(stretches_.begin(), stretches_.end(), [](auto a, auto b) { return a.from < b.from; });
        std::vector<Stretch> whole;
        for (const Stretch s : stretches_)
            if (!whole.empty() && s.from < whole.back().to)
                whole.back().to = std::max(whole.back().to, s.to);
            else
                whole.push_back(s);
        stretches_ = std::move(whole);
    }
    bool runs_through(double place) const {
        const auto after = std::partition_point(stretches_.begin(), stretches_.end(),
                                                [&](const Stretch& s) { return s.from < place; });
        return after != stretches_.begin() && std::prev(after)->to > place;
    }

  private:
    std::vector<Stretch> stretches_;
};

/// The tracks of every net, by where they lie: what is nearer than `touching` lies in the same place.
class Tracks {
  public:
    void add(PointId net, double place, double a, double b) { all_[{net, key(place)}].add(a, b); }
    void close() {
        for (auto& one : all_) one.second.close();
    }
    bool run_through(PointId net, double place, double along) const {
        for (const long near : {key(place) - 1, key(place), key(place) + 1})
            if (const auto one = all_.find({net, near}); one != all_.end() && one->second.runs_through(along))
                return true;
        return false;
    }

  private:
    static long key(double place) { return std::lround(place / touching); }
    std::map<std::pair<PointId, long>, Track> all_;
};

} // namespace

std::vector<Position> crossings_of(const std::vector<SketchLine>& lines) {
    // From left to right: level wires come and go, an upright one meets those that are there.
    struct Event {
        double x;
        int order; ///< at one place: ends first, then upright wires, then beginnings
        const SketchLine* line;
    };
    std::vector<Event> events;
    for (const SketchLine& l : lines) {
        if (is_plumb(l) && !is_level(l)) {
            events.push_back({l.a.x, 1, &l});
        } else if (is_level(l) && !is_plumb(l)) {
            events.push_back({std::min(l.a.x, l.b.x) + touching, 2, &l});
            events.push_back({std::max(l.a.x, l.b.x) - touching, 0, &l});
        }
    }
    std::sort(events.begin(), events.end(), [](const Event& a, const Event& b) {
        return std::tie(a.x, a.order, a.line) < std::tie(b.x, b.order, b.line);
    });
    std::vector<Position> result;
    std::set<std::pair<double, const SketchLine*>> there;
    for (const Event& e : events) {
        if (e.order == 2) there.insert({e.line->a.y, e.line});
        if (e.order == 0) there.erase({e.line->a.y, e.line});
        if (e.order != 1) continue;
        const double low = std::min(e.line->a.y, e.line->b.y), high = std::max(e.line->a.y, e.line->b.y);
        for (auto h = there.lower_bound({low + touching, nullptr});
             h != there.end() && h->first < high - touching; ++h)
            if (h->second->net != e.line->net && h->first > low + touching) result.push_back({e.x, h->first});
    }
    return result;
}

std::vector<Position> joints_of(const std::vector<SketchLine>& lines) {
    Tracks rows, columns;
    for (const SketchLine& l : lines) {
        if (is_level(l))
            rows.add(l.net, l.a.y, l.a.x, l.b.x);
        else if (is_plumb(l))
            columns.add(l.net, l.a.x, l.a.y, l.b.y);
    }
    rows.close();
    columns.close();
    std::vector<Position> result;
    std::set<std::pair<long, long>> known;
    for (const SketchLine& l : lines)
        for (const Position p : {l.a, l.b}) {
            const int ways = rows.run_through(l.net, p.y, p.x - touching) +
                             rows.run_through(l.net, p.y, p.x + touching) +
                             columns.run_through(l.net, p.x, p.y - touching) +
                             columns.run_through(l.net, p.x, p.y + touching);
            if (ways >= 3 && known.insert({std::lround(p.x), std::lround(p.y)}).second) result.push_back(p);
        }
    return result;
}

int struck_names(const Circuit& c, const Sketch& s) {
    std::vector<const SketchLine*> upright;
    for (const SketchLine& l : s.lines)
        if (is_plumb(l)) upright.push_back(&l);
    std::sort(upright.begin(), upright.end(),
              [](const SketchLine* a, const SketchLine* b) { return a->a.x < b->a.x; });
    int count = 0;
    const auto strike = [&](const Box& box) {
        auto l = std::partition_point(upright.begin(), upright.end(),
                                      [&](const SketchLine* one) { return one->a.x + 1 < box.low.x; });
        for (; l != upright.end() && (*l)->a.x - 1 <= box.high.x; ++l) {
            const auto& [a, b, net, part] = **l;
            const Box line{{a.x - 1, std::min(a.y, b.y)}, {a.x + 1, std::max(a.y, b.y)}};
            count += overlap(box, line);
        }
    };
    for (const PlacedPoint& p : s.points) {
        const double wide = std::min(std::max(text_width(point_name(c, p.point), 8), 36.0), p.room);
        const double indent = p.point == c.ground ? 11 : 5;
        strike({{p.at.x + indent, p.at.y + 8}, {p.at.x + indent + wide, p.at.y + sketch_below - 8}});
    }
    for (const PlacedPart& p : s.parts) {
        if (p.upright) continue;
        const double wide = std::min(std::max(text_width(c.parts[at(p.part)].name, 9), 90.0), p.room);
        strike({{p.at.x - wide / 2, p.at.y - 40}, {p.at.x + wide / 2, p.at.y - 4}});
    }
    return count;
}

} // namespace lostvolts

#include "viewer/figures/sketch.h"

#include <algorithm>
#include <cmath>

#include "solver/units/patience.h"
#include "viewer/figures/placing.h"
#include "viewer/figures/sketch_checks.h"
#include "viewer/figures/type.h"

namespace lostvolts {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

constexpr double source_height = 108; ///< of each part in the source's column
constexpr double least_band = 96;     ///< for the words beside a load

/// How far out a connection belongs: sources first, next to the battery; then coils, lesser loads, motors.
int weight_of(const Circuit& c, const Sides& s, int connection, PointId from) {
    const Connection& k = s.connections[at(connection)];
    const AnyPart& law = c.parts[at(k.part)].law;
    int weight = k.coil ? 2 : is_source(law) ? 1 : is_any<Motor<>>(law) ? 5 : is_load(law) ? 4 : 3;
    const PointId to = s.other_end(connection, from);
    if (s.side[at(to)] != Side::feed || s.to_parent[at(to)] != connection) return weight;
    weight = 0;
    for (const int inner : s.children[at(to)]) weight = std::max(weight, weight_of(c, s, inner, to));
    for (const int inner : s.rungs[at(to)]) weight = std::max(weight, weight_of(c, s, inner, to));
    return weight;
}

/// Places in points of a picture. A row is as high as what stands in it needs.
class Ruler {
  public:
    Ruler(const Circuit& c, const Placing& p, std::size_t sources) {
        std::vector<Need> above(at(p.rows_above)), below(at(p.rows_below));
        const auto need = [&](const RowPlace& r) -> Need* {
            if (r.row > 0) return &above[at(r.row - 1)];
            return r.row < 0 ? &below[at(-r.row - 1)] : nullptr;
        };
        for (const PlacedSymbol& symbol : p.symbols)
            if (Need* n = need(symbol.at))
                n->over =
                    std::max(n->over, sketch_above -
                                          (long_name(c.parts[at(symbol.part)].name, symbol.room, 9) ? 0 : 9));
        for (std::size_t k = 0; k < p.points.size(); ++k)
            if (Need* n = need(p.points[k]))
                n->under = std::max(n->under,
                                    sketch_below - (long_name(c.points[k].name, p.point_room[k], 8) ? 0 : 8));
        double y = 0;
        for (int row = p.rows_above; row >= 1; --row) {
            y += above[at(row - 1)].over;
            above_.insert(above_.begin(), y);
            y += above[at(row - 1)].under;
        }
        band_top_ = y;
        y += std::max(least_band, source_height * static_cast<double>(sources) - 36);
        band_bottom_ = y;
        for (const Need& n : below) {
            y += n.over;
            below_.push_back(y);
            y += n.under;
        }
        height_ = y;
    }
    Position of(const RowPlace& r) const {
        const double x = sketch_left + r.x;
        if (r.row > 0) return {x, above_[at(r.row - 1)]};
        if (r.row < 0) return {x, below_[at(-r.row - 1)]};
        // The column of sources spans a little more than the band.
        const double middle = (band_top_ + band_bottom_) / 2, half = (band_bottom_ - band_top_) / 2 + 18;
        return {x, middle + r.lift * half};
    }
    double height() const { return height_; }

  private:
    static bool long_name(const std::string& name, double room, double size) {
        return text_width(name, size) > room;
    }
    struct Need {
        double over = 14, under = 10; ///< a row of nothing but wire
    };
    std::vector<double> above_, below_; ///< rows 1 … outward
    double band_top_ = 0, band_bottom_ = 0, height_ = 0;
};

Sketch measured(const Circuit& c, const Sides& s, const Placing& p) {
    give_up_if_told();
    const Ruler ruler(c, p, s.column.size());
    Sketch sketch;
    for (const PlacedSymbol& sym : p.symbols) {
        PlacedPart part{sym.part, false, ruler.of(sym.at), sym.upright, sym.from_first, sym.room};
        if (sym.connection != none) {
            part.coil = s.connections[at(sym.connection)].coil;
        } else {
            const auto k = std::find(s.column.begin(), s.column.end(), sym.part) - s.column.begin();
            part.from_first = c.parts[at(sym.part)].from == s.column_points[static_cast<std::size_t>(k + 1)];
        }
        sketch.parts.push_back(part);
    }
    for (PointId point = 0; point < static_cast<int>(c.points.size()); ++point)
        sketch.points.push_back({point, ruler.of(p.points[at(point)]), p.point_room[at(point)]});
    for (const PlacedLine& l : p.lines) {
        const SketchLine line{ruler.of(l.a), ruler.of(l.b), l.net, l.part};
        if (!is_level(line) || !is_plumb(line)) sketch.lines.push_back(line);
    }
    sketch.width = sketch_left + p.width;
    sketch.height = ruler.height();
    sketch.crossings = crossings_of(sketch.lines);
    sketch.struck = struck_names(c, sketch);
    return sketch;
}

/// Small is good: the side of a picture of that aspect that holds it, dearer by every crossing, and much
/// dearer by a name that can't be read. What fits a page as it is gains nothing by being smaller.
double badness(const Sketch& s, double aspect) {
    constexpr double page = 1100;
    return std::max({s.width, s.height * aspect, page}) *
           (1 + 0.08 * static_cast<double>(s.crossings.size()) + 0.5 * s.struck);
}

} // namespace

FeedOrder usual_order(const Circuit& c, const Sides& s) {
    FeedOrder order(c.points.size());
    for (PointId p = 0; p < static_cast<int>(c.points.size()); ++p) {
        if (s.side[at(p)] != Side::feed) continue;
        std::vector<std::pair<int, FeedItem>> items;
        for (const int k : s.rungs[at(p)]) items.push_back({weight_of(c, s, k, p), {k, none}});
        for (const int k : s.children[at(p)]) items.push_back({weight_of(c, s, k, p), {k, none}});
        std::stable_sort(items.begin(), items.end(),
                         [](const auto& a, const auto& b) { return a.first < b.first; });
        for (const auto& [weight, item] : items) order[at(p)].push_back(item);
    }
    std::vector<FeedItem> roots;
    for (const PointId p : s.extra_roots) {
        const bool in_column =
            std::find(s.column_points.begin(), s.column_points.end(), p) != s.column_points.end();
        if (!in_column || !order[at(p)].empty()) roots.push_back({none, p});
    }
    auto& first = order[at(s.high)];
    first.insert(first.begin(), roots.begin(), roots.end());
    return order;
}

Sketch sketch(const Circuit& circuit, double aspect) {
    // Of more parts nobody sees all at once: fewer ways are tried, so that the time grows with the parts
    // only.
    constexpr std::size_t many = 300;
    if (circuit.points.empty()) return {};
    const bool large = circuit.parts.size() > many;
    const Sides sides = find_sides(circuit);
    FeedOrder order = usual_order(circuit, sides);
    PlacingStyle style;
    Sketch best = measured(circuit, sides, place(sides, order, style));
    const auto consider = [&](const PlacingStyle& other) {
        Sketch tried = measured(circuit, sides, place(sides, order, other));
        if (badness(tried, aspect) >= badness(best, aspect) * 0.97) return; // the plainer of equals
        best = std::move(tried);
        style = other;
    };
    for (const bool gather : {false, true}) {
        if (gather && large) break;
        for (const bool beside : {true, false})
            for (const int stack : {99, 5, 4, 3, 2, 1}) consider({99, stack, gather, beside});
    }
    for (const int fold : {16, 13, 11, 9, 8, 7, 6, 5, 4}) {
        PlacingStyle folded = style;
        folded.fold = fold;
        consider(folded);
    }
    // Neighbours change places as long as that makes it better.
    int patience = large ? 0 : 300;
    for (bool better = true; better && patience > 0;) {
        better = false;
        for (auto& items : order)
            for (std::size_t k = 0; k + 1 < items.size() && patience > 0; ++k) {
                --patience;
                std::swap(items[k], items[k + 1]);
                Sketch tried = measured(circuit, sides, place(sides, order, style));
                if (badness(tried, aspect) < badness(best, aspect) * 0.98) {
                    best = std::move(tried);
                    better = true;
                } else {
                    std::swap(items[k], items[k + 1]);
                }
            }
    }
    best.joints = joints_of(best.lines);
    return best;
}

} // namespace lostvolts

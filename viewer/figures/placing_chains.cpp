// What lies along the rows: chains of parts, straight or folded; links within a side; the source's column.
#include "viewer/figures/placer.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace lostvolts {

void Placer::draw_chain(PointId v, const Chain& chain, double x, double end, int row, Side side) {
    const int rows = folds(chain.connections.size());
    skyline(side).raise(x, end, row + rows - 1);
    note_row(side, row + rows - 1);
    std::vector<RowPlace> places{{x, (row + rows - 1) * sign(side)}}; // of the points, v first
    std::vector<RowPlace> middles;
    if (rows == 1)
        spread(chain.connections.size(), x, end, row * sign(side), places, middles);
    else
        fold(chain.connections.size(), x, end, row, sign(side), places, middles);

    PointId before = v;
    for (std::size_t k = 0; k < chain.connections.size(); ++k) {
        const Connection& c = s_.connections[at(chain.connections[k])];
        const PointId next = chain.points[k];
        const bool leftward = middles[k].x < places[k].x && places[k + 1].x < middles[k].x;
        const bool from_left = (c.from == before) != leftward;
        out_.symbols.push_back({chain.connections[k], c.part, middles[k], false, from_left, room_[k]});
        draw_way(places[k], middles[k], before, c.part, x);
        draw_way(middles[k], places[k + 1], next, c.part, x);
        if (k + 1 < chain.connections.size()) {
            out_.points[at(next)] = places[k + 1];
            x_[at(next)] = places[k + 1].x;
        }
        if (before != v) out_.point_room[at(before)] = std::max(point_room_[k], 40.0);
        before = next;
    }
}

void Placer::draw_way(RowPlace a, RowPlace b, PointId net, PartId part, double start) {
    if (a.row == b.row) return line(a, b, net, part);
    const bool left = std::min(a.x, b.x) < start + turn_left + cell * 0.75;
    const double turn = left ? start + turn_left / 2 : std::max(a.x, b.x) + turn_right - 10;
    const double x = left ? turn : std::max(turn, a.x);
    line(a, {x, a.row}, net, part);
    line({x, a.row}, {x, b.row}, net, part);
    line({x, b.row}, b, net, part);
}

void Placer::spread(std::size_t n, double x, double end, int row, std::vector<RowPlace>& places,
                    std::vector<RowPlace>& middles) {
    std::vector<double> crossing;
    if (row < 0)
        for (const Column& c : columns_between(x, end))
            if (c.x > x + touch && c.x < end - touch && !rung_below_[at(c.connection)])
                crossing.push_back(c.x);
    room_.assign(n, cell - 6);
    point_room_.assign(n, cell - 8);
    std::vector<double> lefts; // of cells
    if (!crossing.empty()) {
        double from = x;
        crossing.push_back(end);
        for (const double stop : crossing) {
            const double margin = from > x ? 12 : 0;
            for (double left = from + margin; left + cell <= stop + touch; left += cell)
                lefts.push_back(left);
            from = stop;
        }
    }
    const bool clear = lefts.size() >= n;
    const double wide = (end - x) / static_cast<double>(n);
    for (std::size_t k = 0; k < n; ++k) {
        const double left = clear ? lefts[k] : x + wide * static_cast<double>(k);
        const double w = clear ? cell : wide;
        middles.push_back({left + w / 2, row});
        const double next = k + 1 == n ? end : clear ? lefts[k + 1] : left + w;
        places.push_back({next, row});
        room_[k] = std::min(w, 1.5 * cell) - 6;
        point_room_[k] = std::min(w, 1.5 * cell) - 8;
    }
}

void Placer::fold(std::size_t n, double x, double end, int row, int side, std::vector<RowPlace>& places,
                  std::vector<RowPlace>& middles) {
    const int rows = folds(n), in_row = cells_in_row(n);
    room_.assign(n, cell - 6);
    point_room_.assign(n, cell - 8);
    for (std::size_t k = 0; k < n; ++k) {
        const int r = static_cast<int>(k) / in_row, c = static_cast<int>(k) % in_row;
        const bool right = r % 2 == 0;
        const int here = (row + rows - 1 - r) * side;
        const double left = x + turn_left + cell * (right ? c : in_row - 1 - c);
        middles.push_back({left + cell / 2, here});
        const double edge = left + (right ? cell : 0);
        places.push_back({k + 1 == n ? end : edge, here});
        if (c + 1 == in_row && right && k + 1 < n) point_room_[std::min(k + 1, n - 1)] = turn_right - 16;
    }
}

void Placer::place_links(Side side) {
    for (const int k : s_.links) {
        const Connection& c = s_.connections[at(k)];
        if (link_done_[at(k)] || s_.side[at(c.from)] != side || x_[at(c.from)] < 0 || x_[at(c.to)] < 0)
            continue;
        link_done_[at(k)] = 1;
        const bool from_left = x_[at(c.from)] <= x_[at(c.to)];
        const PointId a = from_left ? c.from : c.to, b = from_left ? c.to : c.from;
        const double shift = stub + 7 * static_cast<double>(links_at(a, b));
        Link link{k, a, b, x_[at(a)] + shift, x_[at(b)] - shift, 0};
        if (link.right - link.left < cell * 0.45) link.right = link.left + cell * 0.45;
        link.row = 1 + skyline(side).over(link.left - 3, link.right + 3);
        skyline(side).raise(link.left - 3, link.right + 3, link.row);
        note_row(side, link.row);
        links_.push_back(link);
    }
}

std::size_t Placer::links_at(PointId a, PointId b) const {
    return static_cast<std::size_t>(std::count_if(links_.begin(), links_.end(), [&](const Link& l) {
        return l.a == a || l.b == b || l.a == b || l.b == a;
    }));
}

void Placer::finish_links() {
    for (const Link& l : links_) {
        const Connection& c = s_.connections[at(l.connection)];
        const int row = l.row * sign(s_.side[at(l.a)]);
        const RowPlace a = out_.points[at(l.a)], b = out_.points[at(l.b)];
        const double middle = (l.left + l.right) / 2;
        line(a, {l.left, a.row}, l.a, c.part);
        line({l.left, a.row}, {l.left, row}, l.a, c.part);
        line({l.left, row}, {middle, row}, l.a, c.part);
        line({middle, row}, {l.right, row}, l.b, c.part);
        line({l.right, row}, {l.right, b.row}, l.b, c.part);
        line({l.right, b.row}, b, l.b, c.part);
        out_.symbols.push_back({l.connection,
                                c.part,
                                {middle, row},
                                false,
                                c.from == l.a,
                                std::clamp(l.right - l.left - 4, 40.0, 1.5 * cell)});
    }
}

void Placer::place_column() {
    const std::size_t n = s_.column.size();
    const RowPlace low = out_.points[at(s_.low)], high = out_.points[at(s_.high)];
    if (n == 0) return;
    const auto share = [&](double k) { return 1 - 2 * k / static_cast<double>(n); };
    for (std::size_t k = 0; k < n; ++k) {
        const RowPlace middle{0, 0, share(static_cast<double>(k) + 0.5)};
        const RowPlace under = k == 0 ? low : RowPlace{0, 0, share(static_cast<double>(k))};
        const RowPlace over = k + 1 == n ? high : RowPlace{0, 0, share(static_cast<double>(k + 1))};
        line(under, middle, s_.column_points[k], s_.column[k]);
        line(middle, over, s_.column_points[k + 1], s_.column[k]);
        out_.symbols.push_back({none, s_.column[k], middle, true, false, cell - 22});
        if (k + 1 < n) {
            const PointId p = s_.column_points[k + 1];
            if (!order_[at(p)].empty()) { // a tap: from its place in the tree to the column
                line(out_.points[at(p)], {22, 0, over.lift}, p);
                line({22, 0, over.lift}, over, p);
            }
            out_.points[at(p)] = over;
        }
    }
}

} // namespace lostvolts

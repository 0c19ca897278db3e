#include "viewer/figures/placer.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "solver/units/patience.h"

namespace lostvolts {

int Placer::Skyline::over(double from, double to) const {
    const double left = from + touch, right = to - touch;
    int most = 0;
    for (auto step = std::prev(steps_.upper_bound(std::min(left, right)));
         step != steps_.end() && step->first < std::max(left, right); ++step)
        most = std::max(most, step->second);
    return most;
}

std::map<double, int>::iterator Placer::Skyline::cut(double x) {
    const auto before = std::prev(steps_.upper_bound(x));
    return before->first == x ? before : steps_.insert({x, before->second}).first;
}

void Placer::Skyline::raise(double from, double to, int row) {
    if (!(from < to)) return;
    const auto end = cut(to);
    int level = -1; // steps that become as high as the one before are one with it
    for (auto step = cut(from); step != end;) {
        step->second = std::max(step->second, row);
        if (step->second == level) {
            step = steps_.erase(step);
        } else {
            level = step->second;
            ++step;
        }
    }
}

Placing Placer::run() {
    find_least_x(s_.low, 0);
    place_feed(s_.high, 0, 1);
    sort_columns();
    place_back(s_.low, 0, 1);
    finish_links();
    place_column();
    for (const PlacedSymbol& p : out_.symbols)
        out_.width = std::max(out_.width, p.at.x + (p.upright ? column_room - 18 : cell / 2));
    for (std::size_t p = 0; p < out_.points.size(); ++p)
        out_.width = std::max(out_.width, out_.points[p].x + cell * 0.62);
    out_.rows_above = std::max(out_.rows_above, 1);
    out_.rows_below = std::max(out_.rows_below, 1);
    return std::move(out_);
}

int Placer::folds(std::size_t parts) const {
    const int n = static_cast<int>(parts);
    int rows = 1;
    while ((n + rows - 1) / rows > style_.fold) rows += 2;
    return rows;
}

int Placer::cells_in_row(std::size_t parts) const {
    const int rows = folds(parts), n = static_cast<int>(parts);
    return (n + rows - 1) / rows;
}

double Placer::least_width(std::size_t parts) const {
    return cells_in_row(parts) * cell + (folds(parts) > 1 ? turn_left + turn_right : 0);
}

std::size_t Placer::items_at(PointId p, Side side) const {
    return side == Side::feed ? order_[at(p)].size() : s_.children[at(p)].size() + s_.rungs[at(p)].size();
}

Placer::Chain Placer::chain_from(PointId p, int connection, Side side) const {
    Chain chain;
    for (;;) {
        chain.connections.push_back(connection);
        p = s_.other_end(connection, p);
        chain.points.push_back(p);
        if (items_at(p, side) != 1 || s_.children[at(p)].size() != 1) return chain;
        connection = s_.children[at(p)][0];
    }
}

void Placer::find_least_x(PointId p, double x) {
    least_x_[at(p)] = x;
    for (const int k : s_.children[at(p)]) {
        const Chain chain = chain_from(p, k, Side::back);
        find_least_x(chain.points.back(), x + least_width(chain.connections.size()));
    }
}

void Placer::note_row(Side side, int row) {
    int& rows = side == Side::feed ? out_.rows_above : out_.rows_below;
    rows = std::max(rows, row);
}

double Placer::next_column(double at_least) {
    last_column_ = std::max(at_least, last_column_ + column_room);
    return last_column_;
}

int Placer::place_feed(PointId v, double x, int least_row) {
    give_up_if_told();
    x_[at(v)] = x;
    const auto& items = order_[at(v)];
    std::vector<Start> starts;
    double start = x;
    int stacked = 0;
    for (std::size_t k = 0; k < items.size();) {
        std::size_t end = k; // rungs side by side share a row
        while (end < items.size() && is_rung(items[end])) ++end;
        const bool last = (end > k ? end : k + 1) == items.size();
        if (stacked++ == style_.stack) { // what follows begins further right, on a bus
            start = last_column_ + corner_room + 6;
            stacked = 1;
        }
        const int least = last && start == x ? least_row : 1;
        if (end > k) {
            starts.push_back({start, place_rungs(v, start, items, k, end, least)});
            k = end;
        } else {
            starts.push_back({start, place_branch(v, start, items[k], least)});
            ++k;
        }
        place_links(Side::feed);
    }
    if (items.empty()) {
        starts.push_back({x, std::max(least_row, 1 + above_.over(x - 2, x + 2))});
        last_column_ = std::max(last_column_, x - column_room / 2);
    }
    return settle(v, x, starts, least_row, Side::feed);
}

bool Placer::is_rung(const FeedItem& item) const {
    if (item.connection == none) return false;
    const Connection& c = s_.connections[at(item.connection)];
    return s_.side[at(c.from)] != s_.side[at(c.to)];
}

int Placer::place_rungs(PointId v, double x, const std::vector<FeedItem>& items, std::size_t from,
                        std::size_t to, int least_row) {
    double first = -1, last = x;
    for (std::size_t k = from; k < to; ++k) {
        const int c = items[k].connection;
        last = next_column(std::max(x, least_x_[at(far_point(c, v))]));
        column_[at(c)] = last;
        if (k == from) first = last;
    }
    const bool straight = from + 1 == to && first <= x + touch;
    const int row = std::max(least_row, 1 + (straight ? 0 : above_.over(x, last)));
    for (std::size_t k = from; k < to; ++k) hang(items[k].connection, v, row, Side::feed);
    if (!straight) {
        line({x, row}, {last, row}, v, from + 1 == to ? part_of(items[from].connection) : none);
        above_.raise(x, last, row);
    }
    note_row(Side::feed, row);
    return row;
}

void Placer::hang(int connection, PointId v, int row, Side side) {
    const double x = column_[at(connection)];
    line({x, row * sign(side)}, {x, 0}, v, part_of(connection));
    if (side == Side::back) return;
    const Connection& c = s_.connections[at(connection)];
    out_.symbols.push_back({connection, c.part, {x, 0}, true, c.from == v, column_room - 30});
}

int Placer::place_branch(PointId v, double x, const FeedItem& item, int least_row) {
    if (item.connection == none) { // a root of its own: a tap of the source's column, or an island
        const bool tap =
            std::find(s_.column_points.begin(), s_.column_points.end(), item.root) != s_.column_points.end();
        return place_feed(item.root, tap ? x + 22 : std::max(x, last_column_ + column_room), least_row);
    }
    const Chain chain = chain_from(v, item.connection, Side::feed);
    const PointId w = chain.points.back();
    const auto& hanging = order_[at(w)];
    double end = x + least_width(chain.connections.size());
    const bool leaf = hanging.size() == 1 && is_rung(hanging[0]);
    if (leaf || hanging.empty() || style_.beside) end = std::max(end, last_column_ + column_room);
    if (leaf) end = std::max(end, least_x_[at(far_point(hanging[0].connection, w))]);
    const int rows = folds(chain.connections.size());
    const int row = place_feed(w, end, std::max(least_row - rows + 1, 1 + above_.over(x, end)));
    draw_chain(v, chain, x, end, row, Side::feed);
    return row + rows - 1;
}

int Placer::settle(PointId v, double x, const std::vector<Start>& starts, int least_row, Side side) {
    const double end = starts.back().x;
    const bool bus = end > x + touch;
    const int row = bus ? std::max(least_row, 1 + skyline(side).over(x, end)) : starts.back().row;
    out_.points[at(v)] = {x, row * sign(side)};
    if (bus) {
        line({x, row * sign(side)}, {end, row * sign(side)}, v);
        skyline(side).raise(x, end, row);
    }
    for (std::size_t k = 0; k < starts.size();) {
        int least = row, most = row;
        const double here = starts[k].x;
        for (; k < starts.size() && std::abs(starts[k].x - here) < touch; ++k) {
            if (starts[k].row == 0) continue;
            least = std::min(least, starts[k].row);
            most = std::max(most, starts[k].row);
        }
        if (most > least) line({here, most * sign(side)}, {here, least * sign(side)}, v);
    }
    note_row(side, row);
    return row;
}

void Placer::sort_columns() {
    for (std::size_t k = 0; k < column_.size(); ++k)
        if (column_[k] >= 0) columns_.push_back({column_[k], static_cast<int>(k)});
    std::sort(columns_.begin(), columns_.end(), [](const Column& a, const Column& b) {
        return a.x < b.x || (a.x == b.x && a.connection < b.connection);
    });
}

std::span<const Placer::Column> Placer::columns_between(double from, double to) const {
    const auto first =
        std::partition_point(columns_.begin(), columns_.end(), [&](const Column& c) { return c.x < from; });
    const auto last = std::partition_point(first, columns_.end(), [&](const Column& c) { return c.x <= to; });
    return {first, last};
}

void Placer::line(RowPlace a, RowPlace b, PointId net, PartId part) {
    out_.lines.push_back({a, b, net, part});
}

Placing place(const Sides& sides, const FeedOrder& order, const PlacingStyle& style) {
    return Placer(sides, order, style).run();
}

} // namespace lostvolts

#include "viewer/figures/placing.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "viewer/figures/sketch.h"

namespace lostvolts {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

constexpr double cell = sketch_cell;
constexpr double column_room = cell + 16;         ///< between upright parts: their words stand beside them
constexpr double turn_left = 16, turn_right = 66; ///< beside the cells of a folded chain
constexpr double corner_room = 78;                ///< for the name of a point above a column
constexpr double stub = 9;                        ///< from a point to where a link leaves its wire
constexpr double touch = 0.5;

/// The row up to which a side is full, over stretches of x.
class Skyline {
  public:
    int over(double from, double to) const {
        int most = 0;
        for (const Stretch& s : stretches_)
            if (s.from < to - touch && s.to > from + touch) most = std::max(most, s.row);
        return most;
    }
    void raise(double from, double to, int row) { stretches_.push_back({from, to, row}); }

  private:
    struct Stretch {
        double from, to;
        int row;
    };
    std::vector<Stretch> stretches_;
};

/// A run of parts without a branch, from a point outward.
struct Chain {
    std::vector<int> connections;
    std::vector<PointId> points; ///< after each connection; the last is where it ends
};

class Placer {
  public:
    Placer(const Sides& sides, const FeedOrder& order, const PlacingStyle& style)
        : s_(sides), order_(order), style_(style), x_(sides.side.size(), -1),
          column_(sides.connections.size(), -1), least_x_(sides.side.size(), 0),
          rung_below_(sides.connections.size(), 0), link_done_(sides.connections.size(), 0) {
        out_.points.resize(sides.side.size());
        out_.point_room.assign(sides.side.size(), corner_room);
    }

    Placing run() {
        find_least_x(s_.low, 0);
        place_feed(s_.high, 0, 1);
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

  private:
    int folds(std::size_t parts) const {
        const int n = static_cast<int>(parts);
        int rows = 1;
        while ((n + rows - 1) / rows > style_.fold) rows += 2;
        return rows;
    }
    int cells_in_row(std::size_t parts) const {
        const int rows = folds(parts), n = static_cast<int>(parts);
        return (n + rows - 1) / rows;
    }
    double least_width(std::size_t parts) const {
        return cells_in_row(parts) * cell + (folds(parts) > 1 ? turn_left + turn_right : 0);
    }
    std::size_t items_at(PointId p, Side side) const {
        return side == Side::feed ? order_[at(p)].size() : s_.children[at(p)].size() + s_.rungs[at(p)].size();
    }
    Chain chain_from(PointId p, int connection, Side side) const {
        Chain chain;
        for (;;) {
            chain.connections.push_back(connection);
            p = s_.other_end(connection, p);
            chain.points.push_back(p);
            if (items_at(p, side) != 1 || s_.children[at(p)].size() != 1) return chain;
            connection = s_.children[at(p)][0];
        }
    }

    /// How far right a return point has to lie for the parts between it and the source.
    void find_least_x(PointId p, double x) {
        least_x_[at(p)] = x;
        for (const int k : s_.children[at(p)]) {
            const Chain chain = chain_from(p, k, Side::back);
            find_least_x(chain.points.back(), x + least_width(chain.connections.size()));
        }
    }

    Skyline& skyline(Side side) { return side == Side::feed ? above_ : below_; }
    int sign(Side side) const { return side == Side::feed ? 1 : -1; }
    void line(RowPlace a, RowPlace b, PointId net, PartId part = none) {
        out_.lines.push_back({a, b, net, part});
    }
    void note_row(Side side, int row) {
        int& rows = side == Side::feed ? out_.rows_above : out_.rows_below;
        rows = std::max(rows, row);
    }
    PartId part_of(int connection) const { return s_.connections[at(connection)].part; }
    PointId far_point(int rung, PointId here) const { return s_.other_end(rung, here); }

    double next_column(double at_least) {
        last_column_ = std::max(at_least, last_column_ + column_room);
        return last_column_;
    }

    int place_feed(PointId v, double x, int least_row) {
        x_[at(v)] = x;
        const auto& items = order_[at(v)];
        std::vector<Start> starts;
        double start = x;
        int stacked = 0;
        for (std::size_t k = 0; k < items.size();) {
            std::size_t end = k; // rungs side by side share a row
            while (end < items.size() && is_rung(items[end], v)) ++end;
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

    bool is_rung(const FeedItem& item, PointId v) const {
        if (item.connection == none) return false;
        const auto& rungs = s_.rungs[at(v)];
        return std::find(rungs.begin(), rungs.end(), item.connection) != rungs.end();
    }

    int place_rungs(PointId v, double x, const std::vector<FeedItem>& items, std::size_t from, std::size_t to,
                    int least_row) {
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

    /// Half of a rung: from the row to the middle of the band.
    void hang(int connection, PointId v, int row, Side side) {
        const double x = column_[at(connection)];
        line({x, row * sign(side)}, {x, 0}, v, part_of(connection));
        if (side == Side::back) return;
        const Connection& c = s_.connections[at(connection)];
        out_.symbols.push_back({connection, c.part, {x, 0}, true, c.from == v, column_room - 30});
    }

    int place_branch(PointId v, double x, const FeedItem& item, int least_row) {
        if (item.connection == none) { // a root of its own: a tap of the source's column, or an island
            const bool tap = std::find(s_.column_points.begin(), s_.column_points.end(), item.root) !=
                             s_.column_points.end();
            return place_feed(item.root, tap ? x + 22 : std::max(x, last_column_ + column_room), least_row);
        }
        const Chain chain = chain_from(v, item.connection, Side::feed);
        const PointId w = chain.points.back();
        const auto& hanging = order_[at(w)];
        double end = x + least_width(chain.connections.size());
        const bool leaf = hanging.size() == 1 && is_rung(hanging[0], w);
        if (leaf || hanging.empty() || style_.beside) end = std::max(end, last_column_ + column_room);
        if (leaf) end = std::max(end, least_x_[at(far_point(hanging[0].connection, w))]);
        const int rows = folds(chain.connections.size());
        const int row = place_feed(w, end, std::max(least_row - rows + 1, 1 + above_.over(x, end)));
        draw_chain(v, chain, x, end, row, Side::feed);
        return row + rows - 1;
    }

    struct ReturnItem {
        int connection;
        bool rung;
        double column; ///< leftmost of what hangs there
        double end;    ///< where its chain ends, or the rung's column
        double start;  ///< where it meets the point's bus
    };
    std::vector<ReturnItem> return_items(PointId v, double x) {
        std::vector<ReturnItem> items;
        const std::vector<double> foreign = foreign_columns(v);
        for (const int k : s_.children[at(v)]) {
            const Chain chain = chain_from(v, k, Side::back);
            const PointId w = chain.points.back();
            const std::size_t n = chain.connections.size();
            const double end =
                clear_of_columns(w, std::max(rightmost(w), x + least_width(n)), x + least_width(n));
            items.push_back(
                {k, false, first_column(w), end, style_.gather ? start_before(end, n, foreign) : x});
        }
        for (const int k : s_.rungs[at(v)])
            items.push_back({k, true, column_[at(k)], column_[at(k)], style_.gather ? column_[at(k)] : x});
        std::stable_sort(items.begin(), items.end(),
                         [](const ReturnItem& a, const ReturnItem& b) { return a.column < b.column; });
        for (std::size_t k = items.size(); k-- > 0;) { // no bar may cut a later row, nor run beside a name
            ReturnItem& item = items[k];
            if (k + 1 < items.size()) item.start = std::min(item.start, items[k + 1].start);
            const bool straight = item.rung && item.start >= item.column - touch;
            for (std::size_t j = 0; j < k && !straight; ++j)
                if (item.start > items[j].end - 10 && item.start < items[j].end + corner_room)
                    item.start = items[j].end - 14;
            if (!straight && item.start > x + touch) item.start = clear_of_bars(item.start, v, foreign);
            item.start = std::max(item.start, x);
        }
        for (const ReturnItem& item : items) bars_.push_back({item.start, v});
        return items;
    }

    void columns_under(PointId v, std::vector<char>& own) const {
        for (const int k : s_.rungs[at(v)]) own[at(k)] = 1;
        for (const int k : s_.children[at(v)]) columns_under(s_.other_end(k, v), own);
    }
    /// Of rungs that are still to be led past what hangs at a return point.
    std::vector<double> foreign_columns(PointId v) const {
        std::vector<char> own(column_.size(), 0);
        columns_under(v, own);
        std::vector<double> columns;
        for (std::size_t k = 0; k < column_.size(); ++k)
            if (column_[k] >= 0 && !own[k] && !rung_below_[k]) columns.push_back(column_[k]);
        std::sort(columns.begin(), columns.end());
        return columns;
    }
    /// Where a chain has to begin for its cells to stand clear of those columns.
    double start_before(double end, std::size_t parts, const std::vector<double>& foreign) const {
        if (folds(parts) > 1) return end - least_width(parts);
        double left = end;
        for (std::size_t placed = 0; placed < parts; ++placed) {
            left -= cell;
            for (std::size_t k = foreign.size(); k-- > 0;)
                if (foreign[k] < left + cell + 10 && foreign[k] > left - 12 && foreign[k] < end - touch)
                    left = foreign[k] - 12 - cell;
        }
        return left;
    }
    /// A bar that neither runs down a column nor another point's bar.
    double clear_of_bars(double x, PointId v, const std::vector<double>& foreign) const {
        for (int tries = 0; tries < 20; ++tries) {
            const bool taken =
                std::any_of(foreign.begin(), foreign.end(), [&](double c) { return std::abs(c - x) < 9; }) ||
                std::any_of(bars_.begin(), bars_.end(),
                            [&](const Bar& b) { return b.point != v && std::abs(b.x - x) < 7; });
            if (!taken) break;
            x -= 8;
        }
        return x;
    }

    int place_back(PointId v, double x, int least_row) {
        x_[at(v)] = x;
        const std::vector<ReturnItem> items = return_items(v, x);
        const bool bus = !items.empty() && items.back().start > x + touch;
        std::vector<Start> starts;
        std::vector<int> straight; // rungs that hang down to the bus
        for (std::size_t k = 0; k < items.size();) {
            const ReturnItem& item = items[k];
            const int least = k + 1 == items.size() && !bus ? least_row : 1;
            if (!item.rung) {
                starts.push_back({item.start, place_return(v, item, least)});
                ++k;
            } else if (bus && item.start >= item.column - touch) {
                straight.push_back(item.connection);
                starts.push_back({item.start, 0});
                ++k;
            } else {
                std::size_t end = k + 1;
                while (end < items.size() && items[end].rung && items[end].start <= item.start + touch &&
                       items[end].column > items[end].start + touch)
                    ++end;
                starts.push_back(
                    {item.start,
                     place_return_rungs(v, items, k, end, end == items.size() && !bus ? least_row : 1)});
                k = end;
            }
            place_links(Side::back);
        }
        if (items.empty()) starts.push_back({x, std::max(least_row, 1 + below_.over(x - 2, x + 2))});
        const int row = settle(v, x, starts, least_row, Side::back);
        for (const int connection : straight) hang_back(connection, v, row);
        return row;
    }

    void hang_back(int connection, PointId v, int row) {
        hang(connection, v, row, Side::back);
        rung_below_[at(connection)] = 1;
    }

    int place_return_rungs(PointId v, const std::vector<ReturnItem>& items, std::size_t from, std::size_t end,
                           int least) {
        const double start = items[from].start, to = items[end - 1].column;
        const bool alone = end == from + 1, straight = alone && to <= start + touch;
        const int row = std::max(least, 1 + (straight ? 0 : below_.over(start, to)));
        for (std::size_t k = from; k < end; ++k) hang_back(items[k].connection, v, row);
        if (!straight) {
            line({start, -row}, {to, -row}, v, alone ? part_of(items[from].connection) : none);
            below_.raise(start, to, row);
        }
        note_row(Side::back, row);
        return row;
    }

    int place_return(PointId v, const ReturnItem& item, int least_row) {
        const Chain chain = chain_from(v, item.connection, Side::back);
        const int rows = folds(chain.connections.size());
        const int row = place_back(chain.points.back(), item.end,
                                   std::max(least_row - rows + 1, 1 + below_.over(item.start, item.end)));
        draw_chain(v, chain, item.start, item.end, row, Side::back);
        return row + rows - 1;
    }

    /// A little further left where another's column would run through the point.
    double clear_of_columns(PointId p, double x, double least) const {
        for (std::size_t k = 0; k < column_.size(); ++k) {
            const Connection& c = s_.connections[k];
            if (column_[k] < 0 || c.from == p || c.to == p || std::abs(column_[k] - x) > 12) continue;
            x = column_[k] - 16 >= least ? column_[k] - 16 : column_[k] + 16;
        }
        return x;
    }

    double first_column(PointId p) const {
        double least = std::numeric_limits<double>::infinity();
        for (const int k : s_.rungs[at(p)]) least = std::min(least, column_[at(k)]);
        for (const int k : s_.children[at(p)]) least = std::min(least, first_column(s_.other_end(k, p)));
        return least;
    }
    /// As far right as what hangs at a return point lets it lie.
    double rightmost(PointId p) const {
        double x = std::numeric_limits<double>::infinity();
        const std::vector<double> foreign = foreign_columns(p);
        for (const int k : s_.rungs[at(p)]) x = std::min(x, column_[at(k)]);
        for (const int k : s_.children[at(p)]) {
            const Chain chain = chain_from(p, k, Side::back);
            const double end = rightmost(chain.points.back());
            x = std::min(x, style_.gather ? start_before(end, chain.connections.size(), foreign)
                                          : end - least_width(chain.connections.size()));
        }
        return std::isfinite(x) ? std::max(x, least_x_[at(p)]) : least_x_[at(p)];
    }

    /// Where something that hangs at a point begins: the point's own x, or further along its bus.
    struct Start {
        double x;
        int row; ///< 0: on the bus itself
    };

    /// The point itself, on its last row or on a bus outside all that hangs there, and the bars to the rows.
    int settle(PointId v, double x, const std::vector<Start>& starts, int least_row, Side side) {
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

    void draw_chain(PointId v, const Chain& chain, double x, double end, int row, Side side) {
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

    /// Straight along a row, or round the end of a folded one.
    void draw_way(RowPlace a, RowPlace b, PointId net, PartId part, double start) {
        if (a.row == b.row) return line(a, b, net, part);
        const bool left = std::min(a.x, b.x) < start + turn_left + cell * 0.75;
        const double turn = left ? start + turn_left / 2 : std::max(a.x, b.x) + turn_right - 10;
        const double x = left ? turn : std::max(turn, a.x);
        line(a, {x, a.row}, net, part);
        line({x, a.row}, {x, b.row}, net, part);
        line({x, b.row}, b, net, part);
    }

    /// Parts along one row, clear of the columns that will cross it.
    void spread(std::size_t n, double x, double end, int row, std::vector<RowPlace>& places,
                std::vector<RowPlace>& middles) {
        std::vector<double> crossing;
        if (row < 0)
            for (std::size_t k = 0; k < column_.size(); ++k)
                if (column_[k] > x + touch && column_[k] < end - touch && !rung_below_[k])
                    crossing.push_back(column_[k]);
        std::sort(crossing.begin(), crossing.end());
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

    void fold(std::size_t n, double x, double end, int row, int side, std::vector<RowPlace>& places,
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

    /// Links whose two ends are placed lie outside all that is there now.
    void place_links(Side side) {
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

    std::size_t links_at(PointId a, PointId b) const {
        return static_cast<std::size_t>(std::count_if(links_.begin(), links_.end(), [&](const Link& l) {
            return l.a == a || l.b == b || l.a == b || l.b == a;
        }));
    }

    void finish_links() {
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

    /// The sources at the left, from the return's root up to the feed's.
    void place_column() {
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

    struct Link {
        int connection;
        PointId a, b;
        double left, right;
        int row;
    };

    const Sides& s_;
    const FeedOrder& order_;
    PlacingStyle style_;
    Skyline above_, below_;
    std::vector<double> x_, column_, least_x_;
    std::vector<char> rung_below_, link_done_;
    std::vector<Link> links_;
    struct Bar {
        double x;
        PointId point;
    };
    std::vector<Bar> bars_; ///< of the return
    std::vector<double> room_, point_room_;
    double last_column_ = 0;
    Placing out_;
};

} // namespace

Placing place(const Sides& sides, const FeedOrder& order, const PlacingStyle& style) {
    return Placer(sides, order, style).run();
}

} // namespace lostvolts

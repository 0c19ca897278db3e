// The return: rows below the band, gathered towards the source.
#include "viewer/figures/placer.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "solver/units/patience.h"

namespace lostvolts {

std::vector<Placer::ReturnItem> Placer::return_items(PointId v, double x) {
    std::vector<ReturnItem> items;
    const std::vector<double> foreign = style_.gather ? foreign_columns(v) : std::vector<double>{};
    for (const int k : s_.children[at(v)]) {
        const Chain chain = chain_from(v, k, Side::back);
        const PointId w = chain.points.back();
        const std::size_t n = chain.connections.size();
        const double end =
            clear_of_columns(w, std::max(rightmost(w), x + least_width(n)), x + least_width(n));
        items.push_back({k, false, first_column(w), end, style_.gather ? start_before(end, n, foreign) : x});
    }
    for (const int k : s_.rungs[at(v)])
        items.push_back({k, true, column_[at(k)], column_[at(k)], style_.gather ? column_[at(k)] : x});
    std::stable_sort(items.begin(), items.end(),
                     [](const ReturnItem& a, const ReturnItem& b) { return a.column < b.column; });
    for (std::size_t k = items.size();
         style_.gather && k-- > 0;) { // no bar may cut a later row, nor run beside a name
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

void Placer::columns_under(PointId v, std::vector<char>& own) const {
    for (const int k : s_.rungs[at(v)]) own[at(k)] = 1;
    for (const int k : s_.children[at(v)]) columns_under(s_.other_end(k, v), own);
}

std::vector<double> Placer::foreign_columns(PointId v) const {
    std::vector<char> own(column_.size(), 0);
    columns_under(v, own);
    std::vector<double> columns;
    for (std::size_t k = 0; k < column_.size(); ++k)
        if (column_[k] >= 0 && !own[k] && !rung_below_[k]) columns.push_back(column_[k]);
    std::sort(columns.begin(), columns.end());
    return columns;
}

double Placer::start_before(double end, std::size_t parts, const std::vector<double>& foreign) const {
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

double Placer::clear_of_bars(double x, PointId v, const std::vector<double>& foreign) const {
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

int Placer::place_back(PointId v, double x, int least_row) {
    give_up_if_told();
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
            starts.push_back({item.start, place_return_rungs(v, items, k, end,
                                                             end == items.size() && !bus ? least_row : 1)});
            k = end;
        }
        place_links(Side::back);
    }
    if (items.empty()) starts.push_back({x, std::max(least_row, 1 + below_.over(x - 2, x + 2))});
    const int row = settle(v, x, starts, least_row, Side::back);
    for (const int connection : straight) hang_back(connection, v, row);
    return row;
}

void Placer::hang_back(int connection, PointId v, int row) {
    hang(connection, v, row, Side::back);
    rung_below_[at(connection)] = 1;
}

int Placer::place_return_rungs(PointId v, const std::vector<ReturnItem>& items, std::size_t from,
                               std::size_t end, int least) {
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

int Placer::place_return(PointId v, const ReturnItem& item, int least_row) {
    const Chain chain = chain_from(v, item.connection, Side::back);
    const int rows = folds(chain.connections.size());
    const int row = place_back(chain.points.back(), item.end,
                               std::max(least_row - rows + 1, 1 + below_.over(item.start, item.end)));
    draw_chain(v, chain, item.start, item.end, row, Side::back);
    return row + rows - 1;
}

double Placer::clear_of_columns(PointId p, double x, double least) const {
    constexpr double reach = 60; // further than it is ever moved: columns stand twice as far apart
    for (const Column& column : columns_between(x - reach, x + reach)) {
        const Connection& c = s_.connections[at(column.connection)];
        if (c.from == p || c.to == p || std::abs(column.x - x) > 12) continue;
        x = column.x - 16 >= least ? column.x - 16 : column.x + 16;
    }
    return x;
}

double Placer::first_column(PointId p) {
    double& known = first_column_[at(p)];
    if (known >= 0) return known;
    double least = std::numeric_limits<double>::infinity();
    for (const int k : s_.rungs[at(p)]) least = std::min(least, column_[at(k)]);
    for (const int k : s_.children[at(p)]) least = std::min(least, first_column(s_.other_end(k, p)));
    return known = least;
}

double Placer::rightmost(PointId p) {
    // Gathered, it also depends on what hangs already, so it has to be found anew.
    if (!style_.gather && rightmost_[at(p)] >= 0) return rightmost_[at(p)];
    give_up_if_told();
    double x = std::numeric_limits<double>::infinity();
    const std::vector<double> foreign = style_.gather ? foreign_columns(p) : std::vector<double>{};
    for (const int k : s_.rungs[at(p)]) x = std::min(x, column_[at(k)]);
    for (const int k : s_.children[at(p)]) {
        const Chain chain = chain_from(p, k, Side::back);
        const double end = rightmost(chain.points.back());
        x = std::min(x, style_.gather ? start_before(end, chain.connections.size(), foreign)
                                      : end - least_width(chain.connections.size()));
    }
    return rightmost_[at(p)] = std::isfinite(x) ? std::max(x, least_x_[at(p)]) : least_x_[at(p)];
}

} // namespace lostvolts

// How a placing is made: one pass over the feed, one over the return. Inside this room only; placing.cpp,
// placing_return.cpp and placing_chains.cpp hold its steps.
#pragma once

#include <algorithm>
#include <map>
#include <span>
#include <vector>

#include "viewer/figures/placing.h"
#include "viewer/figures/sketch.h"

namespace lostvolts {

class Placer {
  public:
    Placer(const Sides& sides, const FeedOrder& order, const PlacingStyle& style)
        : s_(sides), order_(order), style_(style), x_(sides.side.size(), -1),
          column_(sides.connections.size(), -1), least_x_(sides.side.size(), 0),
          first_column_(sides.side.size(), -1), rightmost_(sides.side.size(), -1),
          rung_below_(sides.connections.size(), 0), link_done_(sides.connections.size(), 0) {
        out_.points.resize(sides.side.size());
        out_.point_room.assign(sides.side.size(), corner_room);
    }

    Placing run();

  private:
    static std::size_t at(int i) { return static_cast<std::size_t>(i); }

    static constexpr double cell = sketch_cell;
    static constexpr double column_room = cell + 16; ///< between upright parts: their words stand beside them
    static constexpr double turn_left = 16, turn_right = 66; ///< beside the cells of a folded chain
    static constexpr double corner_room = 78;                ///< for the name of a point above a column
    static constexpr double stub = 9;                        ///< from a point to where a link leaves its wire
    static constexpr double touch = 0.5;

    /// The row up to which a side is full, over stretches of x: steps, each up to where the next begins.
    class Skyline {
      public:
        int over(double from, double to) const;
        void raise(double from, double to, int row);

      private:
        std::map<double, int>::iterator cut(double x);
        std::map<double, int> steps_{{-1e9, 0}};
    };

    /// A run of parts without a branch, from a point outward.
    struct Chain {
        std::vector<int> connections;
        std::vector<PointId> points; ///< after each connection; the last is where it ends
    };

    int folds(std::size_t parts) const;
    int cells_in_row(std::size_t parts) const;
    double least_width(std::size_t parts) const;
    std::size_t items_at(PointId p, Side side) const;
    Chain chain_from(PointId p, int connection, Side side) const;

    /// How far right a return point has to lie for the parts between it and the source.
    void find_least_x(PointId p, double x);

    Skyline& skyline(Side side) { return side == Side::feed ? above_ : below_; }
    int sign(Side side) const { return side == Side::feed ? 1 : -1; }
    void line(RowPlace a, RowPlace b, PointId net, PartId part = none);
    void note_row(Side side, int row);
    PartId part_of(int connection) const { return s_.connections[at(connection)].part; }
    PointId far_point(int rung, PointId here) const { return s_.other_end(rung, here); }

    double next_column(double at_least);

    int place_feed(PointId v, double x, int least_row);

    bool is_rung(const FeedItem& item) const;

    int place_rungs(PointId v, double x, const std::vector<FeedItem>& items, std::size_t from, std::size_t to,
                    int least_row);

    /// Half of a rung: from the row to the middle of the band.
    void hang(int connection, PointId v, int row, Side side);

    int place_branch(PointId v, double x, const FeedItem& item, int least_row);

    struct ReturnItem {
        int connection;
        bool rung;
        double column; ///< leftmost of what hangs there
        double end;    ///< where its chain ends, or the rung's column
        double start;  ///< where it meets the point's bus
    };
    std::vector<ReturnItem> return_items(PointId v, double x);

    void columns_under(PointId v, std::vector<char>& own) const;
    /// Of rungs that are still to be led past what hangs at a return point.
    std::vector<double> foreign_columns(PointId v) const;
    /// Where a chain has to begin for its cells to stand clear of those columns.
    double start_before(double end, std::size_t parts, const std::vector<double>& foreign) const;
    /// A bar that neither runs down a column nor another point's bar.
    double clear_of_bars(double x, PointId v, const std::vector<double>& foreign) const;

    int place_back(PointId v, double x, int least_row);

    void hang_back(int connection, PointId v, int row);

    int place_return_rungs(PointId v, const std::vector<ReturnItem>& items, std::size_t from, std::size_t end,
                           int least);

    int place_return(PointId v, const ReturnItem& item, int least_row);

    /// A little further left where another's column would run through the point.
    double clear_of_columns(PointId p, double x, double least) const;

    double first_column(PointId p);
    /// As far right as what hangs at a return point lets it lie.
    double rightmost(PointId p);

    /// The columns from one x to another, leftmost first: once the feed is placed, all are known.
    struct Column {
        double x;
        int connection;
    };
    void sort_columns();
    std::span<const Column> columns_between(double from, double to) const;

    /// Where something that hangs at a point begins: the point's own x, or further along its bus.
    struct Start {
        double x;
        int row; ///< 0: on the bus itself
    };

    /// The point itself, on its last row or on a bus outside all that hangs there, and the bars to the rows.
    int settle(PointId v, double x, const std::vector<Start>& starts, int least_row, Side side);

    void draw_chain(PointId v, const Chain& chain, double x, double end, int row, Side side);

    /// Straight along a row, or round the end of a folded one.
    void draw_way(RowPlace a, RowPlace b, PointId net, PartId part, double start);

    /// Parts along one row, clear of the columns that will cross it.
    void spread(std::size_t n, double x, double end, int row, std::vector<RowPlace>& places,
                std::vector<RowPlace>& middles);

    void fold(std::size_t n, double x, double end, int row, int side, std::vector<RowPlace>& places,
              std::vector<RowPlace>& middles);

    /// Links whose two ends are placed lie outside all that is there now.
    void place_links(Side side);

    std::size_t links_at(PointId a, PointId b) const;

    void finish_links();

    /// The sources at the left, from the return's root up to the feed's.
    void place_column();

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
    std::vector<double> first_column_, rightmost_; ///< per return point, once asked for; -1 before
    std::vector<Column> columns_;
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

} // namespace lostvolts

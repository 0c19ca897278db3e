// Small steps that every picture is made of: circles, rectangles, lines of words, and what a mark looks like.
#pragma once

#include <string>
#include <vector>

#include "viewer/figures/figure.h"
#include "viewer/figures/type.h"

namespace lostvolts {

std::vector<Position> circle(Position centre, double radius, int corners = 36);
std::vector<Position> rectangle(Position low, Position high);
/// Part of a circle; degrees, 0 to the right and 90 downward.
std::vector<Position> arc(Position centre, double radius, double from_degrees, double to_degrees,
                          int corners = 16);
/// The path with its first point again at the end.
std::vector<Position> closed(std::vector<Position> path);

/// A mark as strokes and fills: both brushes paint it so.
std::vector<Shape> drawn(const Mark& mark);

Words words(Position at, std::string text, double size, Ink ink = Ink::text, Align align = Align::start,
            bool bold = false);
/// Words with paper behind them, so that lines don't run through.
void add_clear_words(Figure& figure, Words words);
/// Half of what a flag measures each way, in points.
struct FlagSize {
    double half = 0, tall = 0;
};
FlagSize size_of_flag(const std::string& text, double letters);
/// A filled label with paper-coloured words, its middle at `middle`; gives its box.
Box add_flag(Figure& figure, Position middle, const std::string& text, double size, Ink ink);

/// The figure's title at its top, in one line cut to its width.
void add_title(Figure& figure);
/// The title, and below it what the figure says, in so many lines at most; gives how far these go beyond one.
double add_head(Figure& figure, int lines = 1);

/// Every shape and target moved and made larger.
void move_by(Figure& figure, Position by);
void scale_by(Figure& figure, double factor);

} // namespace lostvolts

#include "viewer/figures/shapes.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace lostvolts {
namespace {

constexpr double title_edge = 14;

constexpr double degree = std::numbers::pi / 180;

template <class Change> void change_places(Figure& figure, Change change) {
    for (Shape& shape : figure.shapes) {
        if (auto* s = std::get_if<Stroke>(&shape))
            for (Position& p : s->path) p = change(p);
        if (auto* a = std::get_if<Fill>(&shape))
            for (Position& p : a->outline) p = change(p);
        if (auto* m = std::get_if<Mark>(&shape)) m->at = change(m->at);
        if (auto* w = std::get_if<Words>(&shape)) w->at = change(w->at);
    }
    for (Target& t : figure.targets) {
        t.low = change(t.low);
        t.high = change(t.high);
    }
}

} // namespace

std::vector<Position> arc(Position centre, double radius, double from, double to, int corners) {
    std::vector<Position> path;
    for (int k = 0; k <= corners; ++k) {
        const double angle = (from + (to - from) * k / corners) * degree;
        path.push_back({centre.x + radius * std::cos(angle), centre.y + radius * std::sin(angle)});
    }
    return path;
}

std::vector<Position> circle(Position centre, double radius, int corners) {
    auto path = arc(centre, radius, 0, 360, corners);
    path.pop_back();
    return path;
}

std::vector<Position> rectangle(Position low, Position high) {
    return {low, {high.x, low.y}, high, {low.x, high.y}};
}

std::vector<Position> closed(std::vector<Position> path) {
    if (!path.empty()) path.push_back(path.front());
    return path;
}

std::vector<Shape> drawn(const Mark& m) {
    const double r = m.size / 2, x = m.at.x, y = m.at.y,
                 thin = std::min(std::max(1.0, m.size / 6), m.size / 3);
    const auto area = [&](std::vector<Position> outline) { return Fill{std::move(outline), m.ink, 1}; };
    const auto line = [&](std::vector<Position> path) { return Stroke{std::move(path), m.ink, thin}; };
    switch (m.shape) {
    case MarkShape::dot:
        return {area(circle(m.at, r, 20))};
    case MarkShape::ring:
        return {Fill{circle(m.at, r, 20), Ink::paper, 1}, line(closed(circle(m.at, r, 20)))};
    case MarkShape::square:
        return {area(rectangle({x - r, y - r}, {x + r, y + r}))};
    case MarkShape::diamond:
        return {area({{x, y - r}, {x + r, y}, {x, y + r}, {x - r, y}})};
    case MarkShape::triangle:
        return {area({{x, y - r}, {x + r, y + r}, {x - r, y + r}})};
    case MarkShape::cross:
        return {line({{x - r, y - r}, {x + r, y + r}}), line({{x - r, y + r}, {x + r, y - r}})};
    case MarkShape::ground: // hangs from its place
        return {line({{x - r, y}, {x + r, y}}),
                line({{x - r * 0.62, y + r * 0.5}, {x + r * 0.62, y + r * 0.5}}),
                line({{x - r * 0.25, y + r}, {x + r * 0.25, y + r}})};
    case MarkShape::arrow_right:
        return {area({{x + r, y}, {x - r, y - r * 0.7}, {x - r, y + r * 0.7}})};
    case MarkShape::arrow_down:
        return {area({{x, y + r}, {x - r * 0.7, y - r}, {x + r * 0.7, y - r}})};
    }
    return {};
}

Words words(Position at, std::string text, double size, Ink ink, Align align, bool bold) {
    return {at, std::move(text), size, align, ink, bold, false};
}

void add_clear_words(Figure& figure, Words w) {
    const Box box = box_of(w);
    figure.shapes.push_back(
        Fill{rectangle({box.low.x - 2, box.low.y - 1}, {box.high.x + 2, box.high.y + 1}), Ink::paper, 1});
    figure.shapes.push_back(std::move(w));
}

FlagSize size_of_flag(const std::string& text, double letters) {
    return {text_width(text, letters, true) / 2 + 4, letters * 0.72};
}

Box add_flag(Figure& figure, Position middle, const std::string& text, double size, Ink ink) {
    const auto [half, tall] = size_of_flag(text, size);
    const Box box{{middle.x - half, middle.y - tall}, {middle.x + half, middle.y + tall}};
    figure.shapes.push_back(Fill{rectangle(box.low, box.high), ink, 1});
    figure.shapes.push_back(
        words({middle.x, middle.y + size * 0.36}, text, size, Ink::paper, Align::middle, true));
    return box;
}

void add_title(Figure& f) {
    f.shapes.push_back(words({title_edge, 24}, fitted(f.title, f.width - 2 * title_edge, 13, true), 13,
                             Ink::text, Align::start, true));
}

double add_head(Figure& f, int lines) {
    add_title(f);
    double below = 0;
    for (const std::string& line : in_lines(f.says, f.width - 2 * title_edge, 10.5, lines)) {
        f.shapes.push_back(words({title_edge, 43 + below}, line, 10.5));
        below += 14;
    }
    return std::max(0.0, below - 14);
}

void move_by(Figure& figure, Position by) {
    change_places(figure, [&](Position p) { return Position{p.x + by.x, p.y + by.y}; });
}

void scale_by(Figure& figure, double factor) {
    change_places(figure, [&](Position p) { return Position{p.x * factor, p.y * factor}; });
    for (Shape& shape : figure.shapes) {
        if (auto* s = std::get_if<Stroke>(&shape)) s->width *= factor;
        if (auto* m = std::get_if<Mark>(&shape)) m->size *= factor;
        if (auto* w = std::get_if<Words>(&shape)) w->size *= factor;
    }
    figure.width *= factor;
    figure.height *= factor;
    figure.type *= factor;
}

} // namespace lostvolts

#include "viewer/window/painter.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <numbers>

#include <SFML/Graphics/Glyph.hpp>
#include <SFML/Graphics/Texture.hpp>
#include <SFML/System/String.hpp>

#include "viewer/figures/shapes.h"
#include "viewer/figures/type.h"

namespace lostvolts {
namespace {

using V = sf::Vector2f;

struct Brush {
    const Type& type;
    Light light;
    double scale;
    Painting& out;

    V at(const Position& p) const {
        return {static_cast<float>(p.x * scale), static_cast<float>(p.y * scale)};
    }
    float pixels(double points) const { return static_cast<float>(points * scale); }
    std::vector<V> path(const std::vector<Position>& points) const {
        std::vector<V> out_path;
        out_path.reserve(points.size());
        for (const Position& p : points) out_path.push_back(at(p));
        return out_path;
    }
    Triangles& layer(const sf::Texture* letters) {
        if (out.layers.empty() || out.layers.back().letters != letters) out.layers.push_back({letters, {}});
        return out.layers.back().triangles;
    }

    void operator()(const Stroke& s);
    void operator()(const Fill& a);
    void operator()(const Mark& m);
    void operator()(const Words& w);
};

void Brush::operator()(const Stroke& s) {
    const sf::Color colour = screen_colour(s.ink, light);
    constexpr float least_seen = 0.7F;
    const float width = std::max(pixels(s.width), least_seen);
    const std::vector<V> whole = path(s.path);
    const bool closed =
        s.path.size() > 2 && s.path.front().x == s.path.back().x && s.path.front().y == s.path.back().y;
    if (s.dash == Dash::solid) return add_ribbon(layer(nullptr), whole, width, colour, closed);
    const float unit = std::max(width, std::min(pixels(1), 2 * width));
    const float on = s.dash == Dash::dashed ? 4 * unit : 1.2F * unit,
                off = s.dash == Dash::dashed ? 3 * unit : 2 * unit;
    for (const auto& piece : dashed(whole, on, off)) add_ribbon(layer(nullptr), piece, width, colour);
}

void Brush::operator()(const Fill& a) {
    add_area(layer(nullptr), path(a.outline), screen_colour(a.ink, light, a.opacity), a.opacity > 0.99);
}

void Brush::operator()(const Mark& m) {
    for (const Shape& shape : drawn(m)) std::visit(*this, shape);
}

/// A glyph's rectangle; `place` puts a corner, told from the pen, on the screen.
template <class Place>
void add_letter(Triangles& to, const sf::Glyph& g, sf::Color colour, const Place& place) {
    const sf::IntRect& r = g.textureRect;
    if (r.width <= 0) return;
    const float x0 = g.bounds.left - 1, y0 = g.bounds.top - 1, x1 = x0 + g.bounds.width + 2,
                y1 = y0 + g.bounds.height + 2;
    const auto u0 = static_cast<float>(r.left - 1), v0 = static_cast<float>(r.top - 1),
               u1 = static_cast<float>(r.left + r.width + 1), v1 = static_cast<float>(r.top + r.height + 1);
    to.insert(to.end(), {{place(x0, y0), colour, {u0, v0}},
                         {place(x1, y0), colour, {u1, v0}},
                         {place(x0, y1), colour, {u0, v1}},
                         {place(x0, y1), colour, {u0, v1}},
                         {place(x1, y0), colour, {u1, v0}},
                         {place(x1, y1), colour, {u1, v1}}});
}

/// Letters are set on whole pixels, and left out where nobody could read them: a large circuit seen from afar
/// shows its lines and marks. Turned words keep the glyphs' own shapes a quarter to the left.
void Brush::operator()(const Words& w) {
    constexpr double least_read = 3.5; // pixels
    if (w.size * scale < least_read) return;
    const sf::Font& font = w.bold ? type.bold : type.regular;
    const auto size = static_cast<unsigned>(std::lround(w.size * scale));
    const sf::String text = sf::String::fromUtf8(w.text.begin(), w.text.end());
    const auto width = static_cast<float>(text_width(w.text, w.size, w.bold) * scale);
    const float back = w.align == Align::middle ? width / 2 : w.align == Align::end ? width : 0;
    V pen = at(w.at);
    (w.upright ? pen.y : pen.x) += w.upright ? back : -back;
    pen = {std::round(pen.x), std::round(pen.y)};

    Triangles& to = layer(&font.getTexture(size));
    const sf::Color colour = screen_colour(w.ink, light);
    // Each word begins where the type's own widths have it; within one the letters have whole-pixel advances,
    // narrowed where small letters would run wider than their place.
    const auto advance = [&](std::size_t k) {
        return font.getGlyph(text[k], size, false).advance + font.getKerning(text[k], text[k + 1], size);
    };
    const float least_blank = std::ceil(0.22F * static_cast<float>(size));
    float word = 0, last_end = -least_blank;
    for (std::size_t first = 0; first < text.getSize();) {
        std::size_t end = first;
        float room = 0, wide = 0;
        for (; end < text.getSize() && text[end] != U' '; ++end) {
            room += static_cast<float>(letter_width(text[end], w.size, w.bold) * scale);
            wide += advance(end);
        }
        const float narrowed = wide > room ? room / wide : 1;
        const float start = std::max(std::round(word), last_end + least_blank);
        last_end = start + std::round(wide * narrowed);
        for (float along = 0; first < end; along += advance(first++) * narrowed)
            add_letter(to, font.getGlyph(text[first], size, false), colour, [&](float x, float y) {
                x += std::round(start + along);
                return w.upright ? V{pen.x + y, pen.y - x} : V{pen.x + x, pen.y + y};
            });
        word += room;
        for (; first < text.getSize() && text[first] == U' '; ++first)
            word += static_cast<float>(letter_width(U' ', w.size, w.bold) * scale);
    }
}

} // namespace

Result<bool> load_type(Type& type) {
    namespace fs = std::filesystem;
    for (const char* folder : {"/usr/share/fonts/truetype/dejavu", "/usr/share/fonts/dejavu-sans-fonts",
                               "/usr/share/fonts/TTF", "/usr/local/share/fonts"}) {
        const fs::path regular = fs::path(folder) / "DejaVuSans.ttf",
                       bold = fs::path(folder) / "DejaVuSans-Bold.ttf";
        std::error_code ignored;
        if (!fs::exists(regular, ignored) || !fs::exists(bold, ignored)) continue;
        if (!type.regular.loadFromFile(regular.string()) || !type.bold.loadFromFile(bold.string())) continue;
        type.regular_file = regular.string();
        type.bold_file = bold.string();
        return true;
    }
    return Problem{"",
                   {},
                   "the type DejaVu Sans is not on this machine",
                   "as root: apt-get install fonts-dejavu-core",
                   ""};
}

sf::Color screen_colour(Ink ink, Light light, double opacity) {
    const Colour c = colour_of(ink, light);
    const auto byte = [](double share) {
        return static_cast<sf::Uint8>(std::lround(255 * std::clamp(share, 0.0, 1.0)));
    };
    return {byte(c.red), byte(c.green), byte(c.blue), byte(opacity)};
}

Painting paint(const Figure& figure, const Type& type, Light light, double scale) {
    Painting out;
    out.scale = scale;
    out.size = {static_cast<float>(figure.width * scale), static_cast<float>(figure.height * scale)};
    out.targets = figure.targets;
    out.says = figure.says;
    Brush brush{type, light, scale, out};
    for (const Shape& shape : figure.shapes) std::visit(brush, shape);
    return out;
}

void draw(sf::RenderTarget& target, const Painting& painting, V place) {
    sf::RenderStates states;
    states.transform.translate({std::round(place.x), std::round(place.y)});
    for (const Painting::Layer& layer : painting.layers) {
        states.texture = layer.letters;
        target.draw(layer.triangles.data(), layer.triangles.size(), sf::Triangles, states);
    }
}

const Target* target_at(const Painting& painting, V pixel) {
    constexpr double finger = 9; // points round a small target that still count as on it
    const double x = static_cast<double>(pixel.x) / painting.scale,
                 y = static_cast<double>(pixel.y) / painting.scale;
    const Target* best = nullptr;
    double best_rank = 0;
    for (const Target& t : painting.targets) {
        const double dx = std::max({t.low.x - x, 0.0, x - t.high.x}),
                     dy = std::max({t.low.y - y, 0.0, y - t.high.y});
        const double away = std::hypot(dx, dy);
        const double area = (t.high.x - t.low.x) * (t.high.y - t.low.y);
        if (away > finger || (away > 0 && t.point == none)) continue;
        // A point's name may reach under the symbol of a part: there the point is meant, the part is large.
        const double rank = away * 1e9 + (t.point == none ? 1e6 : 0) + area;
        if (!best || rank < best_rank) best = &t, best_rank = rank;
    }
    return best;
}

} // namespace lostvolts

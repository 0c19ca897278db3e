#include "viewer/window/ribbon.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace lostvolts {
namespace {

using V = sf::Vector2f;

constexpr float longest_mitre = 2.5F; // of half the width

float length(V v) { return std::hypot(v.x, v.y); }

V left_of(V from, V to) {
    const V d = to - from;
    const float l = length(d);
    return l > 0 ? V{d.y / l, -d.x / l} : V{0, 0};
}

sf::Color faded(sf::Color c, float share) {
    c.a = static_cast<sf::Uint8>(std::clamp(static_cast<float>(c.a) * share, 0.0F, 255.0F));
    return c;
}

void quad(Triangles& to, V a, V b, V c, V d, sf::Color ab, sf::Color cd) {
    to.insert(to.end(), {{a, ab}, {b, ab}, {c, cd}, {a, ab}, {c, cd}, {d, cd}});
}

/// The path without points that lie on the one before.
std::vector<V> apart(std::span<const V> path, bool closed) {
    std::vector<V> out;
    for (const V p : path)
        if (out.empty() || length(p - out.back()) > 0.05F) out.push_back(p);
    while (closed && out.size() > 1 && length(out.front() - out.back()) <= 0.05F) out.pop_back();
    return out;
}

struct Edge {
    V from, to; // from.x < to.x
    float y(float x) const { return from.y + (to.y - from.y) * (x - from.x) / (to.x - from.x); }
};

} // namespace

void add_ribbon(Triangles& to, std::span<const V> raw, float width, sf::Color colour, bool closed) {
    const std::vector<V> path = apart(raw, closed);
    const std::size_t n = path.size();
    if (n < 2) return;
    // A line thinner than a pixel is a pixel wide and paler.
    const float half = std::max(width, 1.0F) / 2;
    const sf::Color full = faded(colour, std::min(width, 1.0F)), clear = faded(colour, 0);

    std::vector<V> across(n);
    for (std::size_t k = 0; k < n; ++k) {
        const bool first = k == 0 && !closed, last = k + 1 == n && !closed;
        const V before = first ? V{} : left_of(path[(k + n - 1) % n], path[k]);
        const V after = last ? V{} : left_of(path[k], path[(k + 1) % n]);
        const V sum = before + after;
        const float l = length(sum);
        if (first || last || l < 1e-3F)
            across[k] = last ? before : after;
        else
            across[k] = sum / l * std::min(2 / l, longest_mitre);
    }
    const std::size_t segments = closed ? n : n - 1;
    to.reserve(to.size() + segments * 18);
    for (std::size_t k = 0; k < segments; ++k) {
        const V a = path[k], b = path[(k + 1) % n], na = across[k], nb = across[(k + 1) % n];
        const float in = std::max(half - 0.5F, 0.0F), out = half + 0.5F;
        quad(to, a + na * out, b + nb * out, b + nb * in, a + na * in, clear, full);
        if (in > 0) quad(to, a + na * in, b + nb * in, b - nb * in, a - na * in, full, full);
        quad(to, a - na * in, b - nb * in, b - nb * out, a - na * out, full, clear);
    }
}

std::vector<std::vector<V>> dashed(std::span<const V> path, float on, float off) {
    std::vector<std::vector<V>> pieces;
    bool drawn = true;
    float left = on;
    if (!path.empty()) pieces.push_back({path.front()});
    for (std::size_t k = 1; k < path.size(); ++k) {
        V at = path[k - 1];
        for (float way = length(path[k] - at); way > 0;) {
            const float step = std::min(way, left);
            at += (path[k] - at) * (step / way);
            way -= step;
            left -= step;
            if (drawn) pieces.back().push_back(at);
            if (left > 0) continue;
            drawn = !drawn;
            left = drawn ? on : off;
            if (drawn) pieces.push_back({at});
        }
    }
    return pieces;
}

void add_area(Triangles& to, std::span<const V> outline, sf::Color colour, bool soft) {
    const std::size_t n = outline.size();
    if (n < 3) return;
    std::vector<Edge> edges;
    std::vector<float> slabs;
    for (std::size_t k = 0; k < n; ++k) {
        const V a = outline[k], b = outline[(k + 1) % n];
        slabs.push_back(a.x);
        if (a.x < b.x) edges.push_back({a, b});
        if (a.x > b.x) edges.push_back({b, a});
    }
    std::sort(slabs.begin(), slabs.end());
    slabs.erase(std::unique(slabs.begin(), slabs.end()), slabs.end());
    std::sort(edges.begin(), edges.end(), [](const Edge& a, const Edge& b) { return a.from.x < b.from.x; });

    std::vector<Edge> active;
    std::size_t next = 0;
    for (std::size_t s = 0; s + 1 < slabs.size(); ++s) {
        const float x0 = slabs[s], x1 = slabs[s + 1], middle = (x0 + x1) / 2;
        std::erase_if(active, [&](const Edge& e) { return e.to.x <= x0; });
        for (; next < edges.size() && edges[next].from.x <= x0; ++next) active.push_back(edges[next]);
        std::sort(active.begin(), active.end(),
                  [&](const Edge& a, const Edge& b) { return a.y(middle) < b.y(middle); });
        for (std::size_t k = 0; k + 1 < active.size(); k += 2) {
            const Edge &top = active[k], &bottom = active[k + 1];
            quad(to, {x0, top.y(x0)}, {x1, top.y(x1)}, {x1, bottom.y(x1)}, {x0, bottom.y(x0)}, colour,
                 colour);
        }
    }
    if (soft) add_ribbon(to, outline, 1, colour, true);
}

std::vector<V> round_outline(V at, float radius) {
    const int n = std::clamp(static_cast<int>(radius * 3), 12, 64);
    std::vector<V> points;
    for (int k = 0; k < n; ++k) {
        const float a = 2 * std::numbers::pi_v<float> * static_cast<float>(k) / static_cast<float>(n);
        points.push_back({at.x + radius * std::cos(a), at.y + radius * std::sin(a)});
    }
    return points;
}

void add_disc(Triangles& to, V at, float radius, sf::Color colour) {
    const std::vector<V> inner = round_outline(at, std::max(radius - 0.5F, 0.1F)),
                         outer = round_outline(at, radius + 0.5F);
    const sf::Color clear = faded(colour, 0);
    for (std::size_t k = 0; k < inner.size(); ++k) {
        const std::size_t next = (k + 1) % inner.size();
        to.insert(to.end(), {{at, colour}, {inner[k], colour}, {inner[next], colour}});
        if (outer.size() != inner.size()) continue;
        quad(to, outer[k], outer[next], inner[next], inner[k], clear, colour);
    }
}

} // namespace lostvolts

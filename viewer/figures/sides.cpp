#include "viewer/figures/sides.h"

#include <algorithm>
#include <limits>
#include <numeric>
#include <queue>

namespace lostvolts {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

constexpr int through_a_load = 1000;
constexpr int far = std::numeric_limits<int>::max() / 2;

bool conducts(const AnyPart& law) {
    return is_any<Breaker<>, Connector<>, Fuse<>, Ground<>, Relay<>, Splice<>, Switch<>, Wire<>>(law);
}

int length_of(const Circuit& c, const Connection& k) {
    const AnyPart& law = c.parts[at(k.part)].law;
    if (k.coil) return through_a_load;
    return conducts(law) ? 1 : is_any<Resistor<>, Diode<>>(law) ? 3 : through_a_load;
}

/// Points joined by conductors alone.
struct Islands {
    std::vector<int> of;
    explicit Islands(const Circuit& c) : of(c.points.size()) {
        std::iota(of.begin(), of.end(), 0);
        for (const Part& p : c.parts)
            if (conducts(p.law)) of[at(root(p.from))] = root(p.to);
    }
    int root(int p) {
        while (of[at(p)] != p) p = of[at(p)] = of[at(of[at(p)])];
        return p;
    }
    bool same(PointId a, PointId b) { return root(a) == root(b); }
};

/// The conductors from one point to another, shortest way.
std::vector<PartId> conductors_between(const Circuit& c, PointId from, PointId to) {
    std::vector<PartId> by(c.points.size(), none);
    std::vector<char> seen(c.points.size(), 0);
    std::queue<PointId> todo;
    todo.push(from);
    seen[at(from)] = 1;
    while (!todo.empty() && !seen[at(to)]) {
        const PointId here = todo.front();
        todo.pop();
        for (PartId p = 0; p < static_cast<int>(c.parts.size()); ++p) {
            const Part& part = c.parts[at(p)];
            if (!conducts(part.law) || (part.from != here && part.to != here)) continue;
            const PointId next = part.from == here ? part.to : part.from;
            if (seen[at(next)]) continue;
            seen[at(next)] = 1;
            by[at(next)] = p;
            todo.push(next);
        }
    }
    std::vector<PartId> way;
    for (PointId here = to; here != from && by[at(here)] != none;) {
        const Part& part = c.parts[at(by[at(here)])];
        way.push_back(by[at(here)]);
        here = part.from == here ? part.to : part.from;
    }
    std::reverse(way.begin(), way.end());
    return way;
}

PartId first_source(const Circuit& c) {
    for (const bool battery : {true, false})
        for (PartId p = 0; p < static_cast<int>(c.parts.size()); ++p)
            if (battery ? is_any<Battery<>>(c.parts[at(p)].law) : is_source(c.parts[at(p)].law)) return p;
    return none;
}

/// The first source and those in series with it.
void find_column(const Circuit& c, Sides& s) {
    const PartId first = first_source(c);
    if (first == none) {
        s.low = c.ground == none ? 0 : c.ground;
        for (const Part& p : c.parts)
            if (s.high == none && p.from != s.low) s.high = p.from;
        if (s.high == none) s.high = s.low;
        s.column_points = {s.low, s.high};
        return;
    }
    Islands islands(c);
    s.column = {first};
    s.low = c.parts[at(first)].from;
    s.high = c.parts[at(first)].to;
    for (bool grown = true; grown;) {
        grown = false;
        for (PartId p = 0; p < static_cast<int>(c.parts.size()) && !grown; ++p) {
            const Part& part = c.parts[at(p)];
            if (!is_any<Battery<>>(part.law) ||
                std::find(s.column.begin(), s.column.end(), p) != s.column.end() ||
                islands.same(part.from, part.to))
                continue;
            if (islands.same(part.from, s.high) && !islands.same(part.to, s.low)) {
                const auto way = conductors_between(c, s.high, part.from);
                s.column.insert(s.column.end(), way.begin(), way.end());
                s.column.push_back(p);
                s.high = part.to;
                grown = true;
            } else if (islands.same(part.to, s.low) && !islands.same(part.from, s.high)) {
                const auto way = conductors_between(c, part.to, s.low);
                s.column.insert(s.column.begin(), way.begin(), way.end());
                s.column.insert(s.column.begin(), p);
                s.low = part.from;
                grown = true;
            }
        }
    }
    s.column_points = {s.low};
    for (const PartId p : s.column) {
        const Part& part = c.parts[at(p)];
        s.column_points.push_back(part.from == s.column_points.back() ? part.to : part.from);
    }
}

struct Reach {
    std::vector<int> length, by;
};

Reach reach(const Circuit& c, const Sides& s, const std::vector<std::vector<int>>& touching,
            const std::vector<PointId>& roots) {
    Reach r{std::vector<int>(c.points.size(), far), std::vector<int>(c.points.size(), none)};
    using Entry = std::pair<int, PointId>;
    std::priority_queue<Entry, std::vector<Entry>, std::greater<>> todo;
    for (const PointId root : roots) {
        r.length[at(root)] = 0;
        todo.push({0, root});
    }
    while (!todo.empty()) {
        const auto [length, here] = todo.top();
        todo.pop();
        if (length > r.length[at(here)]) continue;
        for (const int k : touching[at(here)]) {
            const PointId next = s.other_end(k, here);
            const int longer = length + length_of(c, s.connections[at(k)]);
            if (longer >= r.length[at(next)]) continue;
            r.length[at(next)] = longer;
            r.by[at(next)] = k;
            todo.push({longer, next});
        }
    }
    return r;
}

} // namespace

Sides find_sides(const Circuit& c) {
    Sides s;
    const std::size_t points = c.points.size();
    find_column(c, s);
    for (PartId p = 0; p < static_cast<int>(c.parts.size()); ++p) {
        const Part& part = c.parts[at(p)];
        if (std::find(s.column.begin(), s.column.end(), p) == s.column.end())
            s.connections.push_back({p, false, part.from, part.to});
        if (part.coil_from != none && part.coil_to != none)
            s.connections.push_back({p, true, part.coil_from, part.coil_to});
    }
    std::vector<std::vector<int>> touching(points);
    for (int k = 0; k < static_cast<int>(s.connections.size()); ++k) {
        touching[at(s.connections[at(k)].from)].push_back(k);
        touching[at(s.connections[at(k)].to)].push_back(k);
    }

    std::vector<PointId> feed_roots{s.high};
    for (std::size_t k = 1; k + 1 < s.column_points.size(); ++k)
        feed_roots.push_back(s.column_points[k]), s.extra_roots.push_back(s.column_points[k]);
    Reach feed = reach(c, s, touching, feed_roots);
    const Reach back = reach(c, s, touching, {s.low});
    for (PointId p = 0; p < static_cast<int>(points); ++p) // islands that a broken drawing leaves
        if (feed.length[at(p)] >= far && back.length[at(p)] >= far) {
            s.extra_roots.push_back(p);
            feed_roots.push_back(p);
            feed = reach(c, s, touching, feed_roots);
        }

    s.side.assign(points, Side::feed);
    s.to_parent.assign(points, none);
    for (std::size_t p = 0; p < points; ++p) {
        const bool is_back = back.length[p] < feed.length[p];
        s.side[p] = is_back ? Side::back : Side::feed;
        s.to_parent[p] = is_back ? back.by[p] : feed.by[p];
    }
    s.children.resize(points);
    s.rungs.resize(points);
    std::vector<char> in_tree(s.connections.size(), 0);
    for (PointId p = 0; p < static_cast<int>(points); ++p)
        if (const int k = s.to_parent[at(p)]; k != none) in_tree[at(k)] = 1;
    for (int k = 0; k < static_cast<int>(s.connections.size()); ++k) {
        const Connection& con = s.connections[at(k)];
        if (in_tree[at(k)]) {
            const PointId outer = s.to_parent[at(con.to)] == k ? con.to : con.from;
            s.children[at(outer == con.to ? con.from : con.to)].push_back(k);
        } else if (s.side[at(con.from)] != s.side[at(con.to)]) {
            s.rungs[at(con.from)].push_back(k);
            s.rungs[at(con.to)].push_back(k);
        } else {
            s.links.push_back(k);
        }
    }
    return s;
}

} // namespace lostvolts

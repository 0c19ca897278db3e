#include "solver/locate/alike.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace lostvolts {
namespace {

constexpr double same_range = 1e-9;     // of a size: rounding of the currents that the ranges follow from
constexpr std::size_t most_states = 64; // bits of a side

/// The graph of one state. Edges are the parts' own first, so that an edge below their number is a part.
struct Joined {
    std::vector<Edge> edges;
    std::vector<char> present;
    std::vector<char> read;           // per vertex: a lead or a coil that decides something, or the ground
    std::vector<char> clamped;        // … or an instrument on a part that ends there
    std::vector<std::vector<int>> at; // per vertex: present edges
    int ground = 0;

    int vertex(std::int32_t node) const { return node == ground_node ? ground : node; }
    int a(int e) const { return vertex(edges[static_cast<std::size_t>(e)].a); }
    int b(int e) const { return vertex(edges[static_cast<std::size_t>(e)].b); }
    int other(int e, int v) const { return a(e) == v ? b(e) : a(e); }
};

bool conducts_here(const Setup& s, std::size_t p) {
    if (s.link[p] == Link::jumper) return true;
    const auto* contact = std::get_if<Switch<>>(&s.parts[p]);
    return s.link[p] == Link::part && !(contact && !contact->settings.closed);
}

Joined join_up(const Network& n, const MeasuredState& state, const Setup& s) {
    Joined g;
    g.ground = n.nodes;
    const auto vertices = static_cast<std::size_t>(n.nodes) + 1;
    g.read.assign(vertices, 0), g.clamped.assign(vertices, 0);
    g.read.back() = 1;
    const auto mark = [&](std::vector<char>& marks, std::int32_t node) {
        marks[static_cast<std::size_t>(g.vertex(node))] = 1;
    };
    const std::size_t parts = s.parts.size();
    g.edges.assign(n.edges.begin(), n.edges.begin() + static_cast<std::ptrdiff_t>(n.branches.size()));
    g.present.assign(n.branches.size(), 0);
    for (std::size_t p = 0; p < parts; ++p) {
        g.present[p] = conducts_here(s, p);
        if (s.link[p] == Link::part && n.coil_branch[p] != none) {
            const auto coil = static_cast<std::size_t>(n.coil_branch[p]);
            g.present[coil] = 1;
            if (!s.held[p]) mark(g.read, n.edges[coil].a), mark(g.read, n.edges[coil].b);
        }
        if (!s.bridged[p]) continue;
        g.edges.push_back(n.edges[p]); // the jumper beside it
        g.present.push_back(1);
    }
    const auto lead = [&](PointId p) {
        if (p != none) mark(g.read, n.node_of_point[static_cast<std::size_t>(p)]);
    };
    for (const Leads& l : state.leads) lead(l.red), lead(l.black);
    for (const Probe& probe : state.probes) {
        lead(probe.red), lead(probe.black);
        if (probe.through == none) continue;
        const Edge& e = n.edges[static_cast<std::size_t>(probe.through)];
        mark(g.clamped, e.a), mark(g.clamped, e.b);
    }
    g.at.resize(vertices);
    for (int e = 0; e < static_cast<int>(g.edges.size()); ++e) {
        if (!g.present[static_cast<std::size_t>(e)]) continue;
        g.at[static_cast<std::size_t>(g.a(e))].push_back(e);
        if (g.b(e) != g.a(e)) g.at[static_cast<std::size_t>(g.b(e))].push_back(e);
    }
    return g;
}

/// Per vertex: whether it lies in a block that hangs on the rest by one point with nothing read in it.
class Hanging {
  public:
    explicit Hanging(const Joined& g)
        : g_(g), entered_(g.at.size(), 0), low_(g.at.size(), 0), by_(g.at.size(), none),
          reads_(g.at.size(), 0), hangs_(g.at.size(), 1) {
        walk(g.ground);
        for (int v = 0; v < static_cast<int>(g.at.size()); ++v)
            if (entered_[at(v)] == 0 && (g.read[at(v)] || g.clamped[at(v)])) walk(v);
    }
    std::vector<char> found() { return std::move(hangs_); }

  private:
    static std::size_t at(int v) { return static_cast<std::size_t>(v); }

    /// Depth first from a vertex that is read; then, from the root outwards, who hangs.
    void walk(int root) {
        std::vector<int> order, path{root};
        std::vector<std::size_t> next(g_.at.size(), 0);
        entered_[at(root)] = low_[at(root)] = ++clock_;
        while (!path.empty()) {
            const int v = path.back();
            if (next[at(v)] == 0) order.push_back(v), reads_[at(v)] = g_.read[at(v)] || g_.clamped[at(v)];
            if (next[at(v)] < g_.at[at(v)].size()) {
                const int e = g_.at[at(v)][next[at(v)]++], to = g_.other(e, v);
                if (e == by_[at(v)]) continue;
                if (entered_[at(to)] != 0) {
                    low_[at(v)] = std::min(low_[at(v)], entered_[at(to)]);
                    continue;
                }
                by_[at(to)] = e;
                entered_[at(to)] = low_[at(to)] = ++clock_;
                path.push_back(to);
                continue;
            }
            path.pop_back();
            if (path.empty()) break;
            const int parent = path.back();
            low_[at(parent)] = std::min(low_[at(parent)], low_[at(v)]);
            reads_[at(parent)] = reads_[at(parent)] || reads_[at(v)];
        }
        hangs_[at(root)] = 0;
        // By falling low: a vertex's block is cut off at its parent when nothing below leads past that.
        for (const int v : order) {
            if (v == root) continue;
            const int parent = g_.other(by_[at(v)], v);
            hangs_[at(v)] = hangs_[at(parent)] || (low_[at(v)] >= entered_[at(parent)] && !reads_[at(v)]);
        }
    }

    const Joined& g_;
    std::vector<int> entered_, low_, by_;
    std::vector<char> reads_, hangs_;
    int clock_ = 0;
};

/// What is left once all that hangs is off, by chains.
ChainMap map_chains(const Network& n, const MeasuredState& state, const Setup& setup) {
    const Joined g = join_up(n, state, setup);
    ChainMap map;
    const std::size_t parts = setup.parts.size(), vertices = g.at.size();
    map.chain.assign(parts, ChainMap::idle), map.place.assign(parts, 0);
    map.node_chain.assign(vertices, none), map.node_place.assign(vertices, 0);
    map.hangs = Hanging(g).found();
    const auto live = [&](int e) {
        return g.a(e) != g.b(e) && !map.hangs[static_cast<std::size_t>(g.a(e))] &&
               !map.hangs[static_cast<std::size_t>(g.b(e))];
    };
    std::vector<char> inside(vertices, 0);
    for (std::size_t v = 0; v < vertices; ++v)
        inside[v] = !g.read[v] && std::count_if(g.at[v].begin(), g.at[v].end(), live) == 2;
    std::vector<char> done(g.edges.size(), 0);
    int chain = 0;
    const auto follow = [&](int e, int from) { // from one end of the chain to the other
        for (int place = 0;; ++place) {
            done[static_cast<std::size_t>(e)] = 1;
            if (static_cast<std::size_t>(e) < parts && setup.link[static_cast<std::size_t>(e)] == Link::part)
                map.chain[static_cast<std::size_t>(e)] = chain,
                map.place[static_cast<std::size_t>(e)] = place;
            const int v = g.other(e, from);
            const auto& around = g.at[static_cast<std::size_t>(v)];
            const auto on = std::find_if(around.begin(), around.end(), [&](int next) {
                return live(next) && !done[static_cast<std::size_t>(next)];
            });
            if (!inside[static_cast<std::size_t>(v)] || on == around.end()) break;
            map.node_chain[static_cast<std::size_t>(v)] = chain;
            map.node_place[static_cast<std::size_t>(v)] = place;
            from = v;
            e = *on;
        }
        ++chain;
    };
    for (int e = 0; e < static_cast<int>(g.edges.size()); ++e) {
        if (!g.present[static_cast<std::size_t>(e)] || done[static_cast<std::size_t>(e)] || !live(e))
            continue;
        if (!inside[static_cast<std::size_t>(g.a(e))])
            follow(e, g.a(e));
        else if (!inside[static_cast<std::size_t>(g.b(e))])
            follow(e, g.b(e));
    }
    for (int e = 0; e < static_cast<int>(g.edges.size()); ++e) // a ring with nothing but a clamp on it
        if (g.present[static_cast<std::size_t>(e)] && !done[static_cast<std::size_t>(e)] && live(e))
            follow(e, g.a(e));
    return map;
}

/// What a single fault is to the readings: faults that have all of this alike are one group.
struct Likeness {
    int own = none; // the single itself: it is like no other
    FaultKind kind = FaultKind::open;
    bool sized = false;
    std::vector<int> where; // per state: its chain, or the node that a short grounds
    auto operator<=>(const Likeness&) const = default;
};

bool same_sizes(const FaultRange& a, const FaultRange& b) {
    return std::abs(a.low - b.low) <= same_range * std::abs(a.low) &&
           std::abs(a.high - b.high) <= same_range * std::abs(a.high);
}

} // namespace

Alike alike_of(const Weighing& w, const std::vector<Hypothesis>& singles) {
    const Network& n = *w.network;
    Alike all;
    std::vector<std::vector<char>> in_place; // per state, per part
    for (const MeasuredState& state : w.states) {
        const Setup setup = state.dead ? set_up_dead(n, state.state) : state.healthy;
        all.states.push_back(map_chains(n, state, setup));
        in_place.emplace_back();
        for (const Link link : setup.link) in_place.back().push_back(link == Link::part);
    }
    const auto& readings = w.job->readings;
    std::map<Likeness, std::vector<int>> groups;
    for (int k = 0; k < static_cast<int>(singles.size()); ++k) {
        const Hypothesis& h = singles[static_cast<std::size_t>(k)];
        all.shorted.push_back(none), all.part.push_back(none), all.idle.push_back(0);
        Likeness like;
        like.own = k;
        if (!h.faults.empty() && all.states.size() <= most_states) {
            const FaultRange& f = h.faults.front();
            const auto p = static_cast<std::size_t>(f.part);
            const bool grounds = f.kind == FaultKind::short_to_ground && n.shunt_edge[p] != none;
            all.part.back() = f.part;
            if (grounds) all.shorted.back() = n.edges[static_cast<std::size_t>(n.shunt_edge[p])].a;
            for (std::size_t s = 0; s < all.states.size(); ++s)
                like.where.push_back(!in_place[s][p] ? ChainMap::idle
                                     : grounds       ? all.shorted.back()
                                                     : all.states[s].chain[p]);
            const bool relay = n.coil_branch[p] != none, resists = f.kind == FaultKind::high_resistance;
            const bool disturbed = std::any_of(readings.begin(), readings.end(),
                                               [&](const Reading& r) { return r.disturbed == f.part; });
            const bool shows_nowhere = std::all_of(like.where.begin(), like.where.end(),
                                                   [](int chain) { return chain == ChainMap::idle; });
            // A relay's coil decides more than its own current.
            all.idle.back() = shows_nowhere && !disturbed && (!relay || resists);
            const bool in_series = resists || (f.kind == FaultKind::open && !relay);
            if (!disturbed && (in_series || grounds || all.idle.back())) like.own = none;
            like.kind = all.idle.back() ? FaultKind::open : f.kind;
            like.sized = f.sized();
        }
        std::vector<int>& found = groups[like]; // the firsts of groups that differ by their range alone
        const auto at = std::find_if(found.begin(), found.end(), [&](int first) {
            return all.idle.back() ||
                   same_sizes(singles[static_cast<std::size_t>(first)].faults.front(), h.faults.front());
        });
        all.group.push_back(at == found.end() ? k : *at);
        if (at == found.end()) found.push_back(k);
    }
    all.speaker = all.group;
    for (std::size_t k = 0; k < singles.size(); ++k) {
        int& speaker = all.speaker[static_cast<std::size_t>(all.group[k])]; // kept at the first
        if (singles[k].log_prior > singles[static_cast<std::size_t>(speaker)].log_prior)
            speaker = static_cast<int>(k);
    }
    const std::vector<int> of_first = all.speaker;
    for (std::size_t k = 0; k < singles.size(); ++k)
        all.speaker[k] = of_first[static_cast<std::size_t>(all.group[k])];
    return all;
}

PairKey key_of(const Alike& alike, std::array<int, 2>& pair) {
    PairKey key;
    for (std::size_t k = 0; k < 2; ++k) {
        const auto one = static_cast<std::size_t>(pair[k]), beside = static_cast<std::size_t>(pair[1 - k]);
        key.group[k] = alike.group[one];
        key.idle[k] = alike.idle[one] != 0;
        const int node = alike.shorted[beside];
        if (node == none) continue;
        for (std::size_t s = 0; s < alike.states.size(); ++s) {
            const ChainMap& map = alike.states[s];
            const auto v = static_cast<std::size_t>(node), p = static_cast<std::size_t>(alike.part[one]);
            if (map.hangs[v]) // the short wakes what hung there
                key.own[k] = true;
            else if (map.node_chain[v] != none && map.node_chain[v] == map.chain[p] &&
                     map.place[p] > map.node_place[v])
                key.side[k] |= std::uint64_t{1} << s;
        }
        if (!key.own[k]) continue;
        key.group[k] = pair[k];
        key.idle[k] = false;
    }
    if (key.group[0] > key.group[1]) {
        std::swap(pair[0], pair[1]);
        std::swap(key.group[0], key.group[1]);
        std::swap(key.own[0], key.own[1]);
        std::swap(key.side[0], key.side[1]);
        std::swap(key.idle[0], key.idle[1]);
    }
    return key;
}

} // namespace lostvolts

#include "solver/spinup/reduction.h"

#include <algorithm>

namespace lostvolts {
namespace {

struct Link {
    std::int32_t node;
    double siemens;
};
using Neighbours = std::vector<std::vector<Link>>;

void join(Neighbours& all, std::int32_t a, std::int32_t b, double siemens) {
    const auto add = [&](std::int32_t from, std::int32_t to) {
        auto& links = all[static_cast<std::size_t>(from)];
        const auto it = std::find_if(links.begin(), links.end(), [&](const Link& l) { return l.node == to; });
        if (it == links.end())
            links.push_back({to, siemens});
        else
            it->siemens += siemens;
    };
    add(a, b);
    add(b, a);
}

} // namespace

Reduction reduce(std::span<const Edge> edges, std::span<const double> siemens, std::span<const double> amps,
                 std::span<const char> keep) {
    const std::size_t nodes = amps.size();
    Neighbours links(nodes);
    std::vector<double> leak(nodes, 0), into(amps.begin(), amps.end());
    for (std::size_t e = 0; e < edges.size(); ++e) {
        const auto [a, b] = edges[e];
        if (siemens[e] == 0 || a == b) continue;
        if (a != ground_node && b != ground_node)
            join(links, a, b, siemens[e]);
        else
            leak[static_cast<std::size_t>(a == ground_node ? b : a)] += siemens[e];
    }

    Reduction r;
    std::vector<char> gone(nodes, 0);
    std::vector<std::int32_t> waiting;
    for (std::size_t n = nodes; n-- > 0;)
        if (!keep[n]) waiting.push_back(static_cast<std::int32_t>(n));
    while (!waiting.empty()) {
        const std::int32_t node = waiting.back();
        waiting.pop_back();
        const auto n = static_cast<std::size_t>(node);
        if (gone[n] || links[n].size() > 3) continue;
        gone[n] = 1;
        Reduction::Taken taken;
        taken.node = node;
        double d = leak[n];
        for (const Link& l : links[n]) d += l.siemens;
        if (d > 0) taken.volts = into[n] / d;
        const std::vector<Link> star = std::move(links[n]);
        links[n].clear();
        for (const Link& l : star) {
            const auto other = static_cast<std::size_t>(l.node);
            const double share = l.siemens / d;
            taken.neighbour[static_cast<std::size_t>(taken.neighbours)] = l.node;
            taken.share[static_cast<std::size_t>(taken.neighbours++)] = share;
            leak[other] += share * leak[n];
            into[other] += share * into[n];
            std::erase_if(links[other], [&](const Link& back) { return back.node == node; });
        }
        for (std::size_t p = 0; p < star.size(); ++p)
            for (std::size_t q = p + 1; q < star.size(); ++q)
                join(links, star[p].node, star[q].node, star[p].siemens * star[q].siemens / d);
        for (const Link& l : star)
            if (!keep[static_cast<std::size_t>(l.node)]) waiting.push_back(l.node);
        r.taken.push_back(taken);
    }

    r.place.assign(nodes, -1);
    for (std::size_t n = 0; n < nodes; ++n) {
        if (gone[n]) continue;
        r.place[n] = static_cast<std::int32_t>(r.kept.size());
        r.kept.push_back(static_cast<std::int32_t>(n));
        r.amps.push_back(into[n]);
    }
    for (const std::int32_t node : r.kept) {
        const auto n = static_cast<std::size_t>(node);
        if (leak[n] > 0) {
            r.edges.push_back({r.place[n], ground_node});
            r.siemens.push_back(leak[n]);
        }
        for (const Link& l : links[n])
            if (l.node > node) {
                r.edges.push_back({r.place[n], r.place[static_cast<std::size_t>(l.node)]});
                r.siemens.push_back(l.siemens);
            }
    }
    return r;
}

std::vector<Weighted> volts_of_nodes(const Reduction& r) {
    std::vector<Weighted> all(r.place.size());
    for (Weighted& w : all) w.weight.assign(r.kept.size(), 0);
    for (std::size_t k = 0; k < r.kept.size(); ++k) all[static_cast<std::size_t>(r.kept[k])].weight[k] = 1;
    for (auto t = r.taken.rbegin(); t != r.taken.rend(); ++t) {
        Weighted& w = all[static_cast<std::size_t>(t->node)];
        w.constant = t->volts;
        for (int p = 0; p < t->neighbours; ++p) {
            const auto P = static_cast<std::size_t>(p);
            const Weighted& other = all[static_cast<std::size_t>(t->neighbour[P])];
            w.constant += t->share[P] * other.constant;
            for (std::size_t k = 0; k < w.weight.size(); ++k) w.weight[k] += t->share[P] * other.weight[k];
        }
    }
    return all;
}

} // namespace lostvolts

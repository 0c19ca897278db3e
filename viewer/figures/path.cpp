#include "viewer/figures/path.h"

#include <algorithm>
#include <cmath>

#include "solver/network/measure.h"

namespace lostvolts {
namespace {

std::size_t at(int i) { return static_cast<std::size_t>(i); }

/// From a point to the root of its side.
void climb(const Sides& s, PointId p, std::vector<PointId>& points, std::vector<PartId>& parts) {
    points.push_back(p);
    while (s.to_parent[at(p)] != none) {
        const int k = s.to_parent[at(p)];
        parts.push_back(s.connections[at(k)].part);
        p = s.other_end(k, p);
        points.push_back(p);
    }
}

} // namespace

PartId main_load(const Circuit& c, const StatePrediction& prediction) {
    PartId best = none;
    double most = 0;
    for (const LoadResult& l : prediction.loads) {
        const double watts = std::abs(si(prediction.parts[at(l.part)].power));
        if (watts > most) most = watts, best = l.part;
    }
    for (PartId p = 0; best == none && p < static_cast<int>(c.parts.size()); ++p)
        if (is_load(c.parts[at(p)].law)) best = p;
    return best;
}

PartId load_behind(const Circuit& c, const StatePrediction& prediction, PartId part) {
    PartId best = none;
    double most = -1;
    for (PartId p = 0; p < static_cast<int>(c.parts.size()); ++p) {
        if (!is_load(c.parts[at(p)].law)) continue;
        const auto path = path_through(c, p);
        const double watts = std::abs(si(prediction.parts[at(p)].power));
        if (watts > most && std::find(path.parts.begin(), path.parts.end(), part) != path.parts.end())
            most = watts, best = p;
    }
    return best == none ? main_load(c, prediction) : best;
}

CurrentPath path_through(const Circuit& c, PartId load) {
    if (load == none) return {};
    const Sides s = find_sides(c);
    const Part& part = c.parts[at(load)];
    const bool from_feed = s.side[at(part.from)] == Side::feed, to_feed = s.side[at(part.to)] == Side::feed;
    if (from_feed == to_feed) return {};
    std::vector<PointId> feed, back;
    std::vector<PartId> feed_parts, back_parts;
    climb(s, from_feed ? part.from : part.to, feed, feed_parts);
    climb(s, from_feed ? part.to : part.from, back, back_parts);
    if (feed.back() != s.high || back.back() != s.low) return {};
    CurrentPath path{
        load, {feed.rbegin(), feed.rend()}, {feed_parts.rbegin(), feed_parts.rend()}, feed_parts.size()};
    path.points.insert(path.points.end(), back.begin(), back.end());
    path.parts.push_back(load);
    path.parts.insert(path.parts.end(), back_parts.begin(), back_parts.end());
    return path;
}

std::vector<double> tolerance_bands(const Network& network, int state, const std::vector<Fault>& faults,
                                    const CurrentPath& path) {
    Setup setup = set_up(network, state, faults);
    Workspace work;
    Operating operating;
    if (path.points.empty() || operate(network, setup, work, operating)) return {};
    std::vector<Probe> probes;
    for (std::size_t k = 0; k < path.points.size(); ++k) {
        const bool feed = k <= path.load_at;
        probes.push_back({.red = feed ? path.points.front() : path.points[k],
                          .black = feed ? path.points[k] : path.points.back()});
    }
    std::vector<double> slopes;
    read_probes_with_slopes(network, setup, operating, work, probes, slopes);
    std::vector<double> variance(probes.size(), 0);
    const Circuit& c = *network.circuit;
    for (std::size_t p = 0; p < c.parts.size(); ++p) {
        const PartNumbers numbers = numbers_of(setup.parts[p], c.parts[p].tolerance);
        for (std::size_t j = 0; j < numbers.deviations.size(); ++j)
            for (std::size_t r = 0; r < probes.size(); ++r) {
                const double d =
                    slopes[(at(network.first_number[p]) + j) * probes.size() + r] * numbers.deviations[j];
                variance[r] += d * d;
            }
    }
    constexpr double of_95_percent = 2; // a tolerance is two standard deviations: DEVELOPERS.md
    std::vector<double> halves;
    halves.reserve(variance.size());
    for (const double v : variance) halves.push_back(of_95_percent * std::sqrt(v));
    return halves;
}

} // namespace lostvolts

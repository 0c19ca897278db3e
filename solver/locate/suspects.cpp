#include "solver/locate/suspects.h"

#include <algorithm>
#include <cmath>

#include "solver/network/operate.h"

namespace lostvolts {
namespace {

constexpr double prior_faulty = 1 - prior_healthy - prior_unmodelled;
constexpr double harmless_volts = 0.1;      // of a sound point from ground: what a sound joint may lose
constexpr double least_typical_amps = 0.02; // a part that carries next to nothing: an indicator lamp's worth

FaultRange range_of(const FaultMode& mode, PartId part, double amps, double volts) {
    FaultRange r{part, mode.kind, mode.low, mode.high, mode.odds};
    if (size_of(mode.kind) != FaultSize::ohms) return r;
    const double unit =
        (mode.kind == FaultKind::short_to_ground ? volts : 0.1) / std::max(amps, least_typical_amps);
    r.low = mode.low * unit;
    r.high = mode.high * unit;
    return r;
}

/// Per part the most volts that the point a short would ground stands from it, over the healthy states.
std::vector<double> shorted_volts(const Network& network) {
    std::vector<double> most(network.circuit->parts.size(), 0);
    Workspace work;
    Operating at;
    for (int s = 0; s < static_cast<int>(network.circuit->states.size()); ++s) {
        Setup setup = set_up(network, s);
        if (operate(network, setup, work, at)) continue;
        for (std::size_t p = 0; p < most.size(); ++p)
            if (const int e = network.shunt_edge[p]; e != none) {
                const auto node = static_cast<std::size_t>(network.edges[static_cast<std::size_t>(e)].a);
                most[p] = std::max(most[p], std::abs(at.node_volts[node]));
            }
    }
    return most;
}

bool undo_each_other(FaultKind a, FaultKind b) {
    return (a == FaultKind::dragging && b == FaultKind::running_light) ||
           (a == FaultKind::running_light && b == FaultKind::dragging);
}

bool can_be_together(const FaultRange& a, const FaultRange& b) {
    if (a.part != b.part) return true;
    const auto in_the_part = [](const FaultRange& f) {
        return f.sized() && f.kind != FaultKind::short_to_ground;
    };
    return a.kind != b.kind && in_the_part(a) && in_the_part(b) && !undo_each_other(a.kind, b.kind);
}

} // namespace

double FaultRange::size_at(double place) const {
    if (!sized()) return 0;
    return logarithmic() ? low * std::pow(high / low, place) : low + (high - low) * place;
}

double FaultRange::place_of(double size) const {
    if (!sized() || !(high > low)) return 0;
    return logarithmic() ? std::log(size / low) / std::log(high / low) : (size - low) / (high - low);
}

std::vector<Hypothesis> single_faults(const Network& network, const std::vector<double>& typical_amps,
                                      const std::vector<double>& typical_volts) {
    std::vector<Hypothesis> all;
    all.push_back({{}, std::log(prior_healthy)});
    double odds = 0;
    const std::vector<double> volts = shorted_volts(network);
    for (std::size_t p = 0; p < network.circuit->parts.size(); ++p)
        for (const FaultMode& mode : faults_of(network.circuit->parts[p].law)) {
            if (mode.kind == FaultKind::short_to_ground && volts[p] < harmless_volts) continue;
            all.push_back({{range_of(mode, static_cast<PartId>(p), typical_amps[p], typical_volts[p])}, 0});
            odds += mode.odds;
        }
    for (Hypothesis& h : all)
        if (!h.faults.empty())
            h.log_prior = std::log(prior_faulty * (1 - prior_two) * h.faults.front().odds / odds);
    return all;
}

std::vector<std::array<int, 2>> pairs_of(const std::vector<Hypothesis>& singles) {
    std::vector<std::array<int, 2>> pairs;
    for (std::size_t a = 0; a < singles.size(); ++a)
        for (std::size_t b = a + 1; b < singles.size(); ++b)
            if (!singles[a].faults.empty() && !singles[b].faults.empty() &&
                can_be_together(singles[a].faults.front(), singles[b].faults.front()))
                pairs.push_back({static_cast<int>(a), static_cast<int>(b)});
    return pairs;
}

double log_odds_of_pairs(const std::vector<Hypothesis>& singles,
                         const std::vector<std::array<int, 2>>& pairs) {
    double odds = 0;
    for (const auto& [a, b] : pairs)
        odds += singles[static_cast<std::size_t>(a)].faults.front().odds *
                singles[static_cast<std::size_t>(b)].faults.front().odds;
    return std::log(odds);
}

double log_prior_of_both(const Hypothesis& a, const Hypothesis& b, double log_odds) {
    return std::log(prior_faulty * prior_two * a.faults.front().odds * b.faults.front().odds) - log_odds;
}

Hypothesis both(const Hypothesis& a, const Hypothesis& b, double log_odds) {
    const FaultRange &f = a.faults.front(), &g = b.faults.front();
    const double log_prior = log_prior_of_both(a, b, log_odds);
    if (!f.sized() && g.sized()) return {{g, f}, log_prior};
    return {{f, g}, log_prior};
}

} // namespace lostvolts

#include "solver/locate/suspects.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

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

} // namespace

double FaultRange::size_at(double place) const {
    if (!sized()) return 0;
    return logarithmic() ? low * std::pow(high / low, place) : low + (high - low) * place;
}

std::vector<Hypothesis> single_faults(const Network& network, const std::vector<double>& typical_amps,
                                      const std::vector<double>& typical_volts) {
    std::vector<Hypothesis> all;
    all.push_back({{}, std::log(prior_healthy)});
    double odds = 0;
    for (std::size_t p = 0; p < network.circuit->parts.size(); ++p)
        for (const FaultMode& mode : faults_of(network.circuit->parts[p].law)) {
            if (mode.kind == FaultKind::short_to_ground && network.shunt_edge[p] == none) continue;
            all.push_back({{range_of(mode, static_cast<PartId>(p), typical_amps[p], typical_volts[p])}, 0});
            odds += mode.odds;
        }
    const double faulty = 1 - prior_healthy - prior_unmodelled;
    for (Hypothesis& h : all)
        if (!h.faults.empty()) h.log_prior = std::log(faulty * h.faults.front().odds / odds);
    return all;
}

} // namespace lostvolts

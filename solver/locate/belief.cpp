#include "solver/locate/belief.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

namespace lostvolts {
namespace {

constexpr double listed_share = 0.02, real_chance = 0.05;
constexpr double gone = 3e-4; // of a belief: a machine below it is dropped

/// The middle and the 90 % interval of what is shown inside the band; of words, of the numbers behind them.
void tell_span(const Prognosis& on, const Belief& before, std::size_t prospect, Band band, PlanOutcome& o) {
    const Scale& scale = on.scales[prospect];
    const bool words = band.first >= scale.numbers;
    for (std::size_t k = band.first; words && k < band.last; ++k)
        o.words.push_back(static_cast<int>(k - scale.numbers));
    const double floor = words || band.first == 0 ? -1e300 : scale.cuts[band.first - 1];
    const double ceiling = band.last >= scale.numbers ? 1e300 : scale.cuts[band.last - 1];
    std::vector<std::pair<double, double>> shown; // value, weight
    for (std::size_t k = 0; k < before.machines.size(); ++k) {
        const Possible& m = on.ground->machines[static_cast<std::size_t>(before.machines[k])];
        double chance = words ? 0 : chance_of_number(m.says[prospect]);
        for (const int word : o.words) chance += m.says[prospect][static_cast<std::size_t>(word)];
        if (words && !std::isfinite(m.sigma[prospect]))
            shown.emplace_back(m.value[prospect], before.weight[k] * chance);
        if (!std::isfinite(m.sigma[prospect])) continue;
        for (int quarter = -8; quarter <= 8; ++quarter) { // the machine's own bell, in quarters of its sigma
            const double z = 0.25 * quarter;
            const double y = m.value[prospect] + z * m.sigma[prospect];
            if (y >= floor && y <= ceiling)
                shown.emplace_back(y, before.weight[k] * chance * std::exp(-0.5 * z * z));
        }
    }
    if (shown.empty()) return;
    std::sort(shown.begin(), shown.end());
    std::vector<double> up_to; // weight
    up_to.reserve(shown.size());
    double total = 0;
    for (const auto& place : shown) up_to.push_back(total += place.second);
    const auto at = [&](double share) {
        const auto k = std::lower_bound(up_to.begin(), up_to.end(), share * total) - up_to.begin();
        return shown[std::min(static_cast<std::size_t>(k), shown.size() - 1)].first;
    };
    const bool ohms = on.ground->prospects[prospect].quantity == Measurand::resistance; // none below nothing
    o.low = ohms ? std::max(at(0.05), 0.0) : at(0.05);
    o.expect = at(0.50);
    o.high = at(0.95);
}

std::vector<double> share_by_rival(const Prognosis& on, const Belief& belief) {
    std::vector<double> share(on.ground->at_fault.size(), 0.0);
    for (std::size_t k = 0; k < belief.machines.size(); ++k)
        share[on.rival(belief.machines[k])] += belief.weight[k];
    return share;
}

} // namespace

Prognosis prognosis_of(const PlanGround& ground) {
    Prognosis on;
    on.ground = &ground;
    std::map<std::vector<PartId>, int> ids;
    for (const auto& parts : ground.at_fault) {
        std::vector<PartId> key = parts;
        std::sort(key.begin(), key.end());
        on.class_of.push_back(ids.emplace(key, static_cast<int>(ids.size())).first->second);
    }
    on.classes = ids.size();
    std::vector<double> value(ground.machines.size()), sigma(ground.machines.size());
    std::vector<Chances> says(ground.machines.size());
    for (std::size_t k = 0; k < ground.prospects.size(); ++k) {
        for (std::size_t m = 0; m < ground.machines.size(); ++m)
            value[m] = ground.machines[m].value[k], sigma[m] = ground.machines[m].sigma[k],
            says[m] = ground.machines[m].says[k];
        on.scales.push_back(scale_of(value, sigma, says));
    }
    return on;
}

Belief first_belief(const PlanGround& ground) {
    Belief belief;
    double total = 0;
    for (const Possible& m : ground.machines) total += m.weight;
    if (!(total > 0)) return belief;
    for (std::size_t m = 0; m < ground.machines.size(); ++m) {
        belief.machines.push_back(static_cast<int>(m));
        belief.weight.push_back(ground.machines[m].weight / total);
    }
    return belief;
}

double entropy(const Prognosis& on, const Belief& b) {
    std::vector<double> share(on.classes, 0.0);
    for (std::size_t k = 0; k < b.machines.size(); ++k)
        share[static_cast<std::size_t>(on.class_of[static_cast<std::size_t>(
            on.ground->machines[static_cast<std::size_t>(b.machines[k])].rival)])] += b.weight[k];
    double bits = 0;
    for (const double p : share)
        if (p > 0) bits -= p * std::log2(p);
    return bits;
}

Surest surest(const Prognosis& on, const Belief& b) {
    std::map<PartId, double> share;
    for (std::size_t k = 0; k < b.machines.size(); ++k) {
        const auto& parts = on.ground->at_fault[on.rival(b.machines[k])];
        if (parts.empty()) share[none] += b.weight[k];
        for (const PartId p : parts) share[p] += b.weight[k];
    }
    Surest best;
    for (const auto& [part, probability] : share)
        if (probability > best.probability) best = {part, probability};
    return best;
}

void tabulate(const Prognosis& on, const Belief& b, int prospect, std::vector<double>& table) {
    const Scale& scale = on.scales[static_cast<std::size_t>(prospect)];
    const std::size_t n = scale.stretches();
    table.assign(on.classes * n, 0.0);
    for (std::size_t k = 0; k < b.machines.size(); ++k) {
        const auto m = static_cast<std::size_t>(b.machines[k]);
        double* row = &table[static_cast<std::size_t>(
                                 on.class_of[static_cast<std::size_t>(on.ground->machines[m].rival)]) *
                             n];
        const auto share = scale.of(m);
        for (std::size_t s = 0; s < n; ++s) row[s] += b.weight[k] * share[s];
    }
}

Belief after(const Prognosis& on, const Belief& b, int prospect, Band band) {
    const Scale& scale = on.scales[static_cast<std::size_t>(prospect)];
    Belief next;
    double total = 0;
    for (std::size_t k = 0; k < b.machines.size(); ++k) {
        const auto share = scale.of(static_cast<std::size_t>(b.machines[k]));
        double p = 0;
        for (std::size_t s = band.first; s < band.last; ++s) p += share[s];
        next.machines.push_back(b.machines[k]);
        next.weight.push_back(b.weight[k] * p);
        total += next.weight.back();
    }
    double left = 0;
    std::size_t kept = 0;
    for (std::size_t k = 0; k < next.machines.size(); ++k)
        if (next.weight[k] > gone * total) {
            next.machines[kept] = next.machines[k];
            left += next.weight[kept++] = next.weight[k];
        }
    next.machines.resize(kept);
    next.weight.resize(kept);
    for (double& w : next.weight) w /= left;
    return next;
}

PlanOutcome outcome_of(const Prognosis& on, const Belief& before, const Belief& after, int prospect,
                       Band band, double probability) {
    PlanOutcome o;
    o.probability = probability;
    tell_span(on, before, static_cast<std::size_t>(prospect), band, o);
    const std::vector<double> had = share_by_rival(on, before), has = share_by_rival(on, after);
    for (std::size_t r = 0; r < has.size(); ++r) {
        if (has[r] >= listed_share) o.suspects.push_back({on.ground->suspects[r], has[r]});
        if (had[r] >= real_chance && has[r] < listed_share) o.cleared.push_back(on.ground->suspects[r]);
    }
    std::stable_sort(o.suspects.begin(), o.suspects.end(),
                     [](const auto& x, const auto& y) { return x.probability > y.probability; });
    const Surest most = surest(on, after);
    o.settled = most.settled();
    if (o.settled) o.mend = most.part;
    return o;
}

} // namespace lostvolts

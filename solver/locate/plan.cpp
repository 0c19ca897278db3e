#include "solver/locate/plan.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <utility>

#include "solver/locate/scale.h"

namespace lostvolts {
namespace {

constexpr double least_bits = 0.01;      // a reading that tells less is not asked for
constexpr double worth_walking = 0.1;    // of the most that any reading tells here
constexpr int deepest = 6;               // readings played out before the rest is reckoned by its bits
constexpr double rare = 0.02;            // outcomes below are not played out
constexpr double rarely = 0.05;          // … nor given a step of their own
constexpr std::size_t most_outcomes = 4; // of one reading: what a person keeps apart
constexpr double across_bonus = 1.05;    // a drop straight across a part is the plainest to understand
constexpr double listed_share = 0.02, real_chance = 0.05;
constexpr std::array<std::size_t, most_steps> tried{10, 4, 1}; // first readings played out, by depth

struct Belief {
    std::vector<int> machines;
    std::vector<double> weight; // summing to 1
};

struct Choice {
    int prospect = none;
    double bits = 0, minutes = 0;
    double rate() const { return bits / minutes; }
};

struct Search {
    const PlanGround& g;
    std::vector<Scale> scales; // per prospect
    std::vector<int> class_of; // per rival: rivals with the same parts at fault are one class
    std::size_t classes = 0;
    std::vector<char> across;  // per prospect: straight across a part
    std::vector<char> used;    // per prospect: taken on this branch
    std::vector<double> table; // class by stretch, of the prospect looked at last

    explicit Search(const PlanGround& ground);

    double entropy(const Belief& b) const;
    double surest(const Belief& b, PartId& part) const;
    void tabulate(const Belief& b, int prospect);
    std::vector<Choice> choices(const Belief& b, const Standing& at);
    Belief after(const Belief& b, int prospect, Band band) const;
    std::vector<Band> outcomes(const Belief& b, int prospect);

    double minutes_from(const Belief& b, const Standing& at, int depth, double price);
    double minutes_with(const Belief& b, const Standing& at, const Choice& c, int depth);
    Choice choose(const Belief& b, const Standing& at, int depth);
    int write_step(Plan& plan, const Belief& b, const Standing& at, int depth, double reached);
    PlanOutcome outcome(const Belief& before, const Belief& b, int prospect, Band band,
                        double probability) const;
};

Search::Search(const PlanGround& ground) : g(ground) {
    std::map<std::vector<PartId>, int> ids;
    for (const auto& parts : g.at_fault) {
        std::vector<PartId> key = parts;
        std::sort(key.begin(), key.end());
        class_of.push_back(ids.emplace(key, static_cast<int>(ids.size())).first->second);
    }
    classes = ids.size();
    std::vector<double> value(g.machines.size()), sigma(g.machines.size());
    for (std::size_t k = 0; k < g.prospects.size(); ++k) {
        for (std::size_t m = 0; m < g.machines.size(); ++m)
            value[m] = g.machines[m].value[k], sigma[m] = g.machines[m].sigma[k];
        scales.push_back(scale_of(value, sigma));
        const Prospect& p = g.prospects[k];
        across.push_back(p.red != none &&
                         std::any_of(g.circuit->parts.begin(), g.circuit->parts.end(), [&](const Part& part) {
                             return (part.from == p.red && part.to == p.black) ||
                                    (part.from == p.black && part.to == p.red);
                         }));
    }
    used.assign(g.prospects.size(), 0);
}

double Search::entropy(const Belief& b) const {
    std::vector<double> share(classes, 0.0);
    for (std::size_t k = 0; k < b.machines.size(); ++k)
        share[static_cast<std::size_t>(
            class_of[static_cast<std::size_t>(g.machines[static_cast<std::size_t>(b.machines[k])].rival)])] +=
            b.weight[k];
    double bits = 0;
    for (const double p : share)
        if (p > 0) bits -= p * std::log2(p);
    return bits;
}

/// The most that any part, or "nothing wrong", has.
double Search::surest(const Belief& b, PartId& part) const {
    std::map<PartId, double> share;
    for (std::size_t k = 0; k < b.machines.size(); ++k) {
        const auto& parts =
            g.at_fault[static_cast<std::size_t>(g.machines[static_cast<std::size_t>(b.machines[k])].rival)];
        if (parts.empty()) share[none] += b.weight[k];
        for (const PartId p : parts) share[p] += b.weight[k];
    }
    double most = 0;
    for (const auto& [p, s] : share)
        if (s > most) most = s, part = p;
    return most;
}

void Search::tabulate(const Belief& b, int prospect) {
    const Scale& scale = scales[static_cast<std::size_t>(prospect)];
    const std::size_t n = scale.stretches();
    table.assign(classes * n, 0.0);
    for (std::size_t k = 0; k < b.machines.size(); ++k) {
        const auto m = static_cast<std::size_t>(b.machines[k]);
        double* row =
            &table[static_cast<std::size_t>(class_of[static_cast<std::size_t>(g.machines[m].rival)]) * n];
        const auto share = scale.of(m);
        for (std::size_t s = 0; s < n; ++s) row[s] += b.weight[k] * share[s];
    }
}

/// What may be read here, the most information per minute first.
std::vector<Choice> Search::choices(const Belief& b, const Standing& at) {
    std::vector<Choice> all;
    double most = 0;
    for (int k = 0; k < static_cast<int>(g.prospects.size()); ++k) {
        if (used[static_cast<std::size_t>(k)]) continue;
        tabulate(b, k);
        Choice c{k, table_information(table, classes), 0};
        if (c.bits < least_bits) continue;
        c.minutes = minutes_to_take(*g.circuit, at, g.prospects[static_cast<std::size_t>(k)]);
        most = std::max(most, c.bits);
        all.push_back(c);
    }
    std::erase_if(all, [&](const Choice& c) { return c.bits < worth_walking * most; });
    const auto worth = [&](const Choice& c) {
        return c.rate() * (across[static_cast<std::size_t>(c.prospect)] ? across_bonus : 1);
    };
    std::stable_sort(all.begin(), all.end(),
                     [&](const Choice& x, const Choice& y) { return worth(x) > worth(y); });
    return all;
}

Belief Search::after(const Belief& b, int prospect, Band band) const {
    constexpr double gone = 1e-4;
    const Scale& scale = scales[static_cast<std::size_t>(prospect)];
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

std::vector<Band> Search::outcomes(const Belief& b, int prospect) {
    tabulate(b, prospect);
    return bands_of(table, classes, most_outcomes);
}

double band_probability(const std::vector<double>& table, std::size_t classes, Band band) {
    const std::size_t n = table.size() / classes;
    double p = 0;
    for (std::size_t c = 0; c < classes; ++c)
        for (std::size_t s = band.first; s < band.last; ++s) p += table[c * n + s];
    return p;
}

/// Expected minutes until it is settled. `price`, minutes per bit, stands in for what is not played out.
double Search::minutes_from(const Belief& b, const Standing& at, int depth, double price) {
    PartId part = none;
    if (surest(b, part) >= settled_at) return 0;
    if (depth >= deepest) return entropy(b) * price;
    const std::vector<Choice> best = choices(b, at);
    return best.empty() ? 0 : minutes_with(b, at, best.front(), depth);
}

double Search::minutes_with(const Belief& b, const Standing& at, const Choice& c, int depth) {
    double minutes = c.minutes;
    const std::vector<Band> bands = outcomes(b, c.prospect);
    std::vector<double> probability;
    for (const Band& band : bands) probability.push_back(band_probability(table, classes, band));
    Standing then = at;
    take(then, g.prospects[static_cast<std::size_t>(c.prospect)]);
    used[static_cast<std::size_t>(c.prospect)] = 1;
    for (std::size_t k = 0; k < bands.size(); ++k) {
        if (probability[k] <= 0) continue;
        minutes += probability[k] * minutes_from(after(b, c.prospect, bands[k]), then,
                                                 probability[k] < rare ? deepest : depth + 1, 1 / c.rate());
    }
    used[static_cast<std::size_t>(c.prospect)] = 0;
    return minutes;
}

Choice Search::choose(const Belief& b, const Standing& at, int depth) {
    std::vector<Choice> all = choices(b, at);
    if (all.empty()) return {};
    const std::size_t n = std::min(tried[static_cast<std::size_t>(depth)], all.size());
    if (n == 1) return all.front();
    // Half of those played out tell most per minute, half tell most.
    std::stable_sort(all.begin() + static_cast<std::ptrdiff_t>(n / 2), all.end(),
                     [](const Choice& x, const Choice& y) { return x.bits > y.bits; });
    Choice best;
    double least = 1e300;
    for (std::size_t k = 0; k < n; ++k) {
        const double minutes = minutes_with(b, at, all[k], depth) /
                               (across[static_cast<std::size_t>(all[k].prospect)] ? across_bonus : 1);
        if (minutes < least) least = minutes, best = all[k];
    }
    return best;
}

PlanOutcome Search::outcome(const Belief& before, const Belief& b, int prospect, Band band,
                            double probability) const {
    PlanOutcome o;
    o.probability = probability;
    const Scale& scale = scales[static_cast<std::size_t>(prospect)];
    const double floor = band.first == 0 ? -1e300 : scale.cuts[band.first - 1];
    const double ceiling = band.last == scale.stretches() ? 1e300 : scale.cuts[band.last - 1];
    std::vector<std::pair<double, double>> shown; // value, weight
    for (std::size_t k = 0; k < b.machines.size(); ++k) {
        const Possible& m = g.machines[static_cast<std::size_t>(b.machines[k])];
        const auto p = static_cast<std::size_t>(prospect);
        if (!std::isfinite(m.sigma[p])) continue;
        // Fifths of a normal distribution, each at its middle.
        for (const double z : {-1.28, -0.52, 0.0, 0.52, 1.28})
            shown.emplace_back(std::clamp(m.value[p] + z * m.sigma[p], floor, ceiling), b.weight[k]);
    }
    std::sort(shown.begin(), shown.end());
    double total = 0, sum = 0;
    for (const auto& [y, w] : shown) total += w;
    if (!shown.empty()) o.low = o.expect = o.high = shown.back().first;
    for (const auto& [y, w] : shown) {
        const auto passes = [&](double share) { return sum < share * total && sum + w >= share * total; };
        if (passes(0.05)) o.low = y;
        if (passes(0.50)) o.expect = y;
        if (passes(0.95)) o.high = y;
        sum += w;
    }
    std::vector<double> had(g.at_fault.size(), 0.0), has(g.at_fault.size(), 0.0);
    const auto count = [&](const Belief& belief, std::vector<double>& share) {
        for (std::size_t k = 0; k < belief.machines.size(); ++k)
            share[static_cast<std::size_t>(g.machines[static_cast<std::size_t>(belief.machines[k])].rival)] +=
                belief.weight[k];
    };
    count(before, had);
    count(b, has);
    for (std::size_t r = 0; r < has.size(); ++r) {
        if (has[r] >= listed_share) o.suspects.push_back({g.suspects[r], has[r]});
        if (had[r] >= real_chance && has[r] < listed_share) o.cleared.push_back(g.suspects[r]);
    }
    std::stable_sort(o.suspects.begin(), o.suspects.end(),
                     [](const auto& x, const auto& y) { return x.probability > y.probability; });
    o.settled = surest(b, o.mend) >= settled_at;
    if (!o.settled) o.mend = none;
    return o;
}

/// Gives the step's index, or none when nothing is worth reading.
int Search::write_step(Plan& plan, const Belief& b, const Standing& at, int depth, double reached) {
    const Choice c = choose(b, at, depth);
    if (c.prospect == none) return none;
    const Prospect& p = g.prospects[static_cast<std::size_t>(c.prospect)];
    const auto step = plan.steps.size();
    PlanStep s;
    s.depth = depth;
    s.probability = reached;
    s.reading.state = p.state;
    s.reading.quantity = p.quantity;
    s.reading.red = p.red;
    s.reading.black = p.black;
    s.reading.through = p.through;
    s.reading.bits = c.bits;
    s.reading.minutes = c.minutes;
    plan.minutes += reached * c.minutes;
    plan.bits += reached * c.bits;
    plan.steps.push_back(std::move(s));

    const std::vector<Band> bands = outcomes(b, c.prospect);
    std::vector<double> probability;
    for (const Band& band : bands) probability.push_back(band_probability(table, classes, band));
    Standing then = at;
    take(then, p);
    used[static_cast<std::size_t>(c.prospect)] = 1;
    for (std::size_t k = 0; k < bands.size(); ++k) {
        const Belief next = after(b, c.prospect, bands[k]);
        PlanOutcome o = outcome(b, next, c.prospect, bands[k], probability[k]);
        if (o.settled)
            plan.settled += reached * probability[k];
        else if (depth + 1 < most_steps && reached * probability[k] >= rarely)
            o.next = write_step(plan, next, then, depth + 1, reached * probability[k]);
        plan.steps[step].outcomes.push_back(std::move(o));
    }
    used[static_cast<std::size_t>(c.prospect)] = 0;
    return static_cast<int>(step);
}

/// The red lead goes where it is higher in the likeliest outcome.
void turn_leads(PlanStep& step) {
    NextReading& r = step.reading;
    const auto likeliest =
        std::max_element(step.outcomes.begin(), step.outcomes.end(), [](const auto& x, const auto& y) {
            return x.probability * std::abs(x.expect) < y.probability * std::abs(y.expect);
        });
    if (r.quantity != Measurand::voltage || likeliest == step.outcomes.end() || likeliest->expect >= 0)
        return;
    std::swap(r.red, r.black);
    for (PlanOutcome& o : step.outcomes) {
        o.expect = -o.expect;
        o.low = -std::exchange(o.high, -o.low);
    }
    std::reverse(step.outcomes.begin(), step.outcomes.end());
}

} // namespace

Plan draw_up_plan(const PlanGround& ground) {
    Plan plan;
    Search search(ground);
    Belief now;
    double total = 0;
    for (std::size_t m = 0; m < ground.machines.size(); ++m) {
        now.machines.push_back(static_cast<int>(m));
        now.weight.push_back(ground.machines[m].weight);
        total += ground.machines[m].weight;
    }
    if (!(total > 0)) return plan;
    for (double& w : now.weight) w /= total;
    PartId part = none;
    if (search.surest(now, part) >= settled_at) return plan;
    search.write_step(plan, now, ground.standing, 0, 1);
    for (PlanStep& step : plan.steps) turn_leads(step);
    return plan;
}

} // namespace lostvolts

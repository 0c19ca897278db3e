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
constexpr int deepest = 5;               // readings played out before the rest is reckoned by its bits
constexpr double rare = 0.03;            // branches below, from the start, are reckoned so at once …
constexpr double rarely = 0.05;          // … and get no step of their own
constexpr std::size_t most_written = 6;  // steps altogether, the likeliest first: a page, and no more
constexpr std::size_t most_outcomes = 4; // of one reading: what a person keeps apart
constexpr double across_bonus = 1.05;    // a drop straight across a part is the plainest to understand …
constexpr double turning_malus = 0.75;   // … and one that may turn out either way round the least
constexpr double listed_share = 0.02, real_chance = 0.05;
constexpr std::array<std::size_t, most_steps> tried{8, 4, 1}; // first readings played out, by depth

struct Belief {
    std::vector<int> machines;
    std::vector<double> weight; // summing to 1
};

/// Where a sequence of readings has come to.
struct Node {
    Belief belief;
    Standing standing;
    std::vector<int> taken; // prospects
    int depth = 0;
    double reached = 1;           // probability
    int step = none, outcome = 0; // of the plan: where it comes from
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
    std::vector<double> plain; // per prospect: what it is worth for being easily understood
    std::vector<double> table; // class by stretch, of the prospect looked at last

    explicit Search(const PlanGround& ground);

    double plainness(std::size_t prospect) const;
    double entropy(const Belief& b) const;
    double surest(const Belief& b, PartId& part) const;
    void tabulate(const Belief& b, int prospect);
    std::vector<Choice> choices(const Node& node);
    Belief after(const Belief& b, int prospect, Band band) const;
    std::vector<Band> outcomes(const Belief& b, int prospect);
    std::vector<Node> follow(const Node& node, int prospect, const std::vector<Band>& bands);

    double minutes_from(const Node& node, double price);
    double minutes_with(const Node& node, const Choice& c);
    Choice choose(const Node& node);
    std::vector<Node> write_step(Plan& plan, const Node& node);
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
        plain.push_back(plainness(k));
    }
}

/// What a reading is worth for being easily understood.
double Search::plainness(std::size_t k) const {
    const Prospect& p = g.prospects[k];
    if (p.quantity != Measurand::voltage) return 1;
    double up = 0, down = 0;
    for (const Possible& m : g.machines) {
        if (m.value[k] > 3 * m.sigma[k]) up += m.weight;
        if (m.value[k] < -3 * m.sigma[k]) down += m.weight;
    }
    if (std::min(up, down) > 0.02 * (up + down)) return turning_malus;
    const auto& parts = g.circuit->parts;
    const bool across = std::any_of(parts.begin(), parts.end(), [&](const Part& part) {
        return (part.from == p.red && part.to == p.black) || (part.from == p.black && part.to == p.red);
    });
    return across ? across_bonus : 1;
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
std::vector<Choice> Search::choices(const Node& node) {
    const double before = entropy(node.belief);
    std::vector<Choice> all;
    double most = 0;
    for (int k = 0; k < static_cast<int>(g.prospects.size()); ++k) {
        if (std::find(node.taken.begin(), node.taken.end(), k) != node.taken.end()) continue;
        tabulate(node.belief, k);
        Choice c{k, before - entropy_left(table, classes), 0};
        if (c.bits < least_bits) continue;
        c.minutes = minutes_to_take(*g.circuit, node.standing, g.prospects[static_cast<std::size_t>(k)]);
        most = std::max(most, c.bits);
        all.push_back(c);
    }
    std::erase_if(all, [&](const Choice& c) { return c.bits < worth_walking * most; });
    const auto worth = [&](const Choice& c) {
        return c.rate() * plain[static_cast<std::size_t>(c.prospect)];
    };
    std::stable_sort(all.begin(), all.end(),
                     [&](const Choice& x, const Choice& y) { return worth(x) > worth(y); });
    return all;
}

Belief Search::after(const Belief& b, int prospect, Band band) const {
    constexpr double gone = 3e-4;
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

/// What a node's reading leads to, outcome by outcome.
std::vector<Node> Search::follow(const Node& node, int prospect, const std::vector<Band>& bands) {
    std::vector<Node> all;
    tabulate(node.belief, prospect);
    for (std::size_t k = 0; k < bands.size(); ++k) {
        Node next;
        next.reached = node.reached * band_probability(table, classes, bands[k]);
        next.belief = after(node.belief, prospect, bands[k]);
        next.standing = node.standing;
        take(next.standing, g.prospects[static_cast<std::size_t>(prospect)]);
        next.taken = node.taken;
        next.taken.push_back(prospect);
        next.depth = node.depth + 1;
        next.outcome = static_cast<int>(k);
        all.push_back(std::move(next));
    }
    return all;
}

/// Expected minutes until it is settled. `price`, minutes per bit, stands in for what is not played out.
double Search::minutes_from(const Node& node, double price) {
    PartId part = none;
    if (surest(node.belief, part) >= settled_at) return 0;
    if (node.depth >= deepest || node.reached < rare) return entropy(node.belief) * price;
    const std::vector<Choice> best = choices(node);
    return best.empty() ? 0 : minutes_with(node, best.front());
}

double Search::minutes_with(const Node& node, const Choice& c) {
    double minutes = c.minutes;
    for (const Node& next : follow(node, c.prospect, outcomes(node.belief, c.prospect)))
        minutes += next.reached / node.reached * minutes_from(next, 1 / c.rate());
    return minutes;
}

Choice Search::choose(const Node& node) {
    std::vector<Choice> all = choices(node);
    if (all.empty()) return {};
    const std::size_t n = std::min(tried[static_cast<std::size_t>(node.depth)], all.size());
    if (n == 1) return all.front();
    // Half of those played out tell most per minute, half tell most.
    std::stable_sort(all.begin() + static_cast<std::ptrdiff_t>(n / 2), all.end(),
                     [](const Choice& x, const Choice& y) { return x.bits > y.bits; });
    Choice best;
    double least = 1e300;
    for (std::size_t k = 0; k < n; ++k) {
        const double minutes = minutes_with(node, all[k]) / plain[static_cast<std::size_t>(all[k].prospect)];
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
    for (std::size_t k = 0; k < before.machines.size(); ++k) {
        const Possible& m = g.machines[static_cast<std::size_t>(before.machines[k])];
        const auto p = static_cast<std::size_t>(prospect);
        if (!std::isfinite(m.sigma[p])) continue;
        for (double z = -2; z <= 2; z += 0.25) {
            const double y = m.value[p] + z * m.sigma[p];
            if (y >= floor && y <= ceiling) shown.emplace_back(y, before.weight[k] * std::exp(-0.5 * z * z));
        }
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

/// Writes the node's best reading and gives the nodes that it leads to and that are worth a step of their
/// own.
std::vector<Node> Search::write_step(Plan& plan, const Node& node) {
    const Choice c = choose(node);
    if (c.prospect == none) return {};
    const Prospect& p = g.prospects[static_cast<std::size_t>(c.prospect)];
    const int step = static_cast<int>(plan.steps.size());
    if (node.step != none)
        plan.steps[static_cast<std::size_t>(node.step)]
            .outcomes[static_cast<std::size_t>(node.outcome)]
            .next = step;
    PlanStep s;
    s.depth = node.depth;
    s.probability = node.reached;
    s.reading = {p.state, p.quantity, p.red, p.black, p.through, c.bits, c.minutes, {}};
    plan.minutes += node.reached * c.minutes;
    plan.bits += node.reached * c.bits;

    const std::vector<Band> bands = outcomes(node.belief, c.prospect);
    std::vector<Node> open;
    for (Node& next : follow(node, c.prospect, bands)) {
        const Band band = bands[static_cast<std::size_t>(next.outcome)];
        s.outcomes.push_back(
            outcome(node.belief, next.belief, c.prospect, band, next.reached / node.reached));
        next.step = step;
        if (s.outcomes.back().settled)
            plan.settled += next.reached;
        else if (next.depth < most_steps && next.reached >= rarely)
            open.push_back(std::move(next));
    }
    plan.steps.push_back(std::move(s));
    return open;
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
    std::vector<Node> open{{now, ground.standing, {}, 0, 1, none, 0}};
    while (!open.empty() && plan.steps.size() < most_written) {
        const auto likeliest = std::max_element(
            open.begin(), open.end(), [](const Node& a, const Node& b) { return a.reached < b.reached; });
        const Node node = std::move(*likeliest);
        open.erase(likeliest);
        for (Node& next : search.write_step(plan, node)) open.push_back(std::move(next));
    }
    for (PlanStep& step : plan.steps) turn_leads(step);
    return plan;
}

} // namespace lostvolts

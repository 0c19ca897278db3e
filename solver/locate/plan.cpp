#include "solver/locate/plan.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "solver/units/patience.h"

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
constexpr std::array<std::size_t, most_steps> tried{8, 4, 2}; // first readings played out, by depth

/// Where a sequence of readings has come to.
struct Node {
    Belief belief;
    Standing standing;
    std::vector<int> taken; // prospects
    int depth = 0;
    double reached = 1;           // probability
    Band band;                    // of its last reading
    int step = none, outcome = 0; // of the plan: where it comes from
};

struct Choice {
    int prospect = none;
    double bits = 0, minutes = 0;
    double rate() const { return bits / minutes; }
};

/// One search: the ground it stands on and scratch.
struct Search {
    const PlanGround& g;
    Prognosis on;
    std::vector<double> plain{}; // per prospect: what it is worth for being easily understood
    std::vector<double> table{}; // class by stretch, of the prospect looked at last

    std::vector<Choice> choices(const Node& node);
    std::vector<Node> follow(const Node& node, int prospect);
    double minutes_from(const Node& node, double price);
    double minutes_with(const Node& node, const Choice& c);
    Choice choose(const Node& node);
    std::vector<Node> write_step(Plan& plan, const Node& node);
};

/// What a reading is worth for being easily understood.
double plainness(const PlanGround& g, std::size_t k) {
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

/// What may be read here, the most information per minute first.
std::vector<Choice> Search::choices(const Node& node) {
    give_up_if_told();
    const double before = entropy(on, node.belief);
    std::vector<Choice> all;
    double most = 0;
    for (int k = 0; k < static_cast<int>(g.prospects.size()); ++k) {
        if (std::find(node.taken.begin(), node.taken.end(), k) != node.taken.end()) continue;
        tabulate(on, node.belief, k, table);
        Choice c{k, before - entropy_left(table, on.classes), 0};
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

double band_probability(const std::vector<double>& table, std::size_t classes, Band band) {
    const std::size_t n = table.size() / classes;
    double p = 0;
    for (std::size_t c = 0; c < classes; ++c)
        for (std::size_t s = band.first; s < band.last; ++s) p += table[c * n + s];
    return p;
}

/// What a node's reading leads to, outcome by outcome.
std::vector<Node> Search::follow(const Node& node, int prospect) {
    tabulate(on, node.belief, prospect, table);
    std::vector<Node> all;
    const Scale& scale = on.scales[static_cast<std::size_t>(prospect)];
    for (const Band& band : bands_of(table, on.classes, most_outcomes, scale.words > 0 ? scale.numbers : 0)) {
        Node next;
        next.reached = node.reached * band_probability(table, on.classes, band);
        next.belief = after(on, node.belief, prospect, band);
        next.standing = node.standing;
        take(next.standing, g.prospects[static_cast<std::size_t>(prospect)]);
        next.taken = node.taken;
        next.taken.push_back(prospect);
        next.depth = node.depth + 1;
        next.band = band;
        all.push_back(std::move(next));
    }
    return all;
}

/// Expected minutes until it is settled. `price`, minutes per bit, stands in for what is not played out.
double Search::minutes_from(const Node& node, double price) {
    if (surest(on, node.belief).settled()) return 0;
    if (node.depth >= deepest || node.reached < rare) return entropy(on, node.belief) * price;
    const std::vector<Choice> best = choices(node);
    return best.empty() ? 0 : minutes_with(node, best.front());
}

double Search::minutes_with(const Node& node, const Choice& c) {
    double minutes = c.minutes;
    for (const Node& next : follow(node, c.prospect))
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
    s.reading = {p.state, p.quantity, p.red, p.black, p.through, c.bits, c.minutes, {}, p.meter};
    plan.minutes += node.reached * c.minutes;
    plan.bits += node.reached * c.bits;

    std::vector<Node> open;
    for (Node& next : follow(node, c.prospect)) {
        next.outcome = static_cast<int>(s.outcomes.size());
        s.outcomes.push_back(
            outcome_of(on, node.belief, next.belief, c.prospect, next.band, next.reached / node.reached));
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
    Search search{ground, prognosis_of(ground)};
    Node start;
    start.belief = first_belief(ground);
    start.standing = ground.standing;
    if (start.belief.machines.empty() || surest(search.on, start.belief).settled()) return plan;
    for (std::size_t k = 0; k < ground.prospects.size(); ++k) search.plain.push_back(plainness(ground, k));
    std::vector<Node> open{start};
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

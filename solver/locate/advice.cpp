#include "solver/locate/advice.h"

#include <algorithm>
#include <cmath>

#include "solver/locate/plan.h"
#include "solver/locate/worth_asking.h"

namespace lostvolts {
namespace {

constexpr double least_bits = 0.01;
constexpr std::size_t listed = 4;
constexpr std::size_t quickest = 32, most_telling = 16; // how many are looked at closely
constexpr double worth_walking =
    0.3; // of the most that any reading tells: a cheap one that settles little comes back later
constexpr double alike = 0.5; // of a sigma: two readings that show the same whatever is wrong

struct Candidate {
    Prospect prospect;
    double minutes = 0, screened = 0, bits = 0;
    std::vector<Bell> bells;
};

bool same_words(const Chances& a, const Chances& b) {
    constexpr double near = 0.05;
    for (std::size_t k = 0; k < a.size(); ++k)
        if (std::abs(a[k] - b[k]) > near) return false;
    return true;
}

bool has_words(const Bell& b) { return chance_of_number(b.says) < 1; }

/// Whether two readings tell the same of every rival: the same words, or numbers in units of their own sigma,
/// lead for lead or turned round.
bool twins(const Candidate& a, const Candidate& b) {
    if (a.bells.size() != b.bells.size()) return false;
    const bool words = std::any_of(a.bells.begin(), a.bells.end(), has_words) ||
                       std::any_of(b.bells.begin(), b.bells.end(), has_words);
    if (words && a.prospect.quantity != b.prospect.quantity) return false;
    bool straight = true, turned = true;
    const double from_a = a.bells.front().mean, from_b = b.bells.front().mean;
    for (std::size_t k = 0; k < a.bells.size() && (straight || turned); ++k) {
        if (!same_words(a.bells[k].says, b.bells[k].says)) return false;
        if (chance_of_number(a.bells[k].says) < 0.5) continue;
        const double x = a.bells[k].mean - from_a, y = b.bells[k].mean - from_b;
        const double near = alike * std::sqrt(std::min(a.bells[k].variance, b.bells[k].variance));
        straight = straight && std::abs(x - y) < near;
        turned = turned && std::abs(x + y) < near;
    }
    return straight || turned;
}

std::vector<Candidate> candidates_of(const Outlook& o, const std::vector<Prospect>& prospects) {
    std::vector<Candidate> all;
    for (const Prospect& p : prospects) {
        Candidate c{p, 0, 0, 0, bells_of(o, p)};
        if (c.bells.empty()) continue;
        c.minutes = minutes_to_take(o.job->circuit, o.standing, p);
        const bool words = std::any_of(c.bells.begin(), c.bells.end(), has_words);
        c.screened = words ? information(c.bells, o.rivals.size()) : screened_information(c.bells);
        if (c.screened > least_bits) all.push_back(std::move(c));
    }
    return all;
}

/// The readings worth a close look: those that tell most per minute, and those that tell most, without twins.
/// Words and ohms come on top of them, as they are few and were looked over before (worth_asking.h).
std::vector<Candidate> shortlist(const Outlook& o) {
    std::vector<Candidate> all = candidates_of(o, prospects(o)), chosen;
    std::vector<Candidate> told = candidates_of(o, worth_lighting(o));
    for (Candidate& c : candidates_of(o, worth_ohms(o))) told.push_back(std::move(c));
    const auto said = [](const Candidate& c) { return !words_of(c.prospect.quantity).empty(); };
    std::copy_if(all.begin(), all.end(), std::back_inserter(told), said);
    std::erase_if(all, said);
    const auto choose = [&](std::size_t wanted, auto worth) {
        std::stable_sort(all.begin(), all.end(),
                         [&](const Candidate& a, const Candidate& b) { return worth(a) > worth(b); });
        const std::size_t full = chosen.size() + wanted;
        for (const Candidate& c : all) {
            if (chosen.size() == full) break;
            if (std::none_of(chosen.begin(), chosen.end(), [&](const Candidate& k) { return twins(c, k); }))
                chosen.push_back(c);
        }
    };
    choose(quickest, [](const Candidate& c) { return c.screened / c.minutes; });
    choose(most_telling, [](const Candidate& c) { return c.screened; });
    all = std::move(told);
    choose(all.size(), [](const Candidate& c) { return c.screened / c.minutes; });
    return chosen;
}

std::vector<Outcome> outcomes(Measurand quantity, const std::vector<Bell>& bells,
                              const std::vector<Rival>& rivals) {
    std::vector<Outcome> all;
    for (std::size_t r = 0; r < rivals.size(); ++r) {
        double weight = 0, mean = 0;
        Outcome o{rivals[r].suspect, 0, 1e300, -1e300, {}};
        double all_weight = 0;
        const bool any_number = std::any_of(bells.begin(), bells.end(), [&](const Bell& b) {
            return b.rival == static_cast<int>(r) && chance_of_number(b.says) > 0.5;
        });
        for (const Bell& b : bells) {
            if (b.rival != static_cast<int>(r)) continue;
            all_weight += b.weight;
            for (std::size_t k = 0; k < most_words; ++k) o.says[k] += b.weight * b.says[k];
            if (any_number && chance_of_number(b.says) <= 0.5) continue;
            weight += b.weight;
            mean += b.weight * b.mean;
            const double half = std::isfinite(b.variance) ? 1.645 * std::sqrt(b.variance) : 0;
            o.low = std::min(o.low, b.mean - half);
            o.high = std::max(o.high, b.mean + half);
        }
        if (weight == 0) continue;
        o.expect = mean / weight;
        if (quantity == Measurand::resistance) o.low = std::max(o.low, 0.0);
        for (double& chance : o.says) chance /= all_weight;
        all.push_back(o);
    }
    return all;
}

/// Two ways to use the same access: the harder lead in common, and no more to learn. The first says it.
bool much_like(const Outlook& o, const Candidate& c, const Candidate& listed_one) {
    const Prospect &a = c.prospect, &b = listed_one.prospect;
    if (a.quantity != b.quantity) return false;
    if (!between_two_points(a.quantity)) return true;
    const auto slow = [&](const Prospect& p) {
        const auto minutes = [&](PointId k) { return minutes_to_reach(o.job->circuit, o.standing, k); };
        return minutes(p.red) >= minutes(p.black) ? p.red : p.black;
    };
    return slow(a) == slow(b) && c.bits < 1.1 * listed_one.bits;
}

NextReading worded(const Outlook& o, const Candidate& c) {
    const Prospect& p = c.prospect;
    NextReading next{p.state, p.quantity, p.red, p.black, p.through, c.bits, c.minutes, {}, p.meter};
    std::vector<Bell> bells = c.bells;
    double mean = 0;
    for (const Bell& b : bells) mean += b.weight * b.mean;
    if (p.quantity == Measurand::voltage && mean < 0) { // the red lead goes where it is higher
        std::swap(next.red, next.black);
        for (Bell& b : bells) b.mean = -b.mean;
    }
    next.outcomes = outcomes(p.quantity, bells, o.rivals);
    return next;
}

bool same_reading(const Prospect& p, const NextReading& n) {
    return p.state == n.state && p.quantity == n.quantity && p.through == n.through &&
           ((p.red == n.red && p.black == n.black) || (p.red == n.black && p.black == n.red));
}

/// The plan's first, then the others by information per minute, each a different way.
std::vector<Candidate> best_of_all(const Outlook& o, std::vector<Candidate> all, const Plan& plan) {
    double most = 0;
    for (const Candidate& c : all) most = std::max(most, c.bits);
    const auto first = [&](const Candidate& c) {
        return !plan.steps.empty() && same_reading(c.prospect, plan.steps.front().reading);
    };
    std::erase_if(all, [&](const Candidate& c) {
        return c.bits < least_bits || (c.bits < worth_walking * most && !first(c));
    });
    std::stable_sort(all.begin(), all.end(), [&](const Candidate& a, const Candidate& b) {
        if (first(a) != first(b)) return first(a);
        return a.bits / a.minutes > b.bits / b.minutes;
    });
    std::vector<Candidate> chosen;
    for (const Candidate& c : all) {
        if (chosen.size() == listed) break;
        if (std::none_of(chosen.begin(), chosen.end(),
                         [&](const Candidate& k) { return much_like(o, c, k); }))
            chosen.push_back(c);
    }
    return chosen;
}

Plan plan_with(const Outlook& o, const std::vector<Candidate>& candidates) {
    PlanGround ground;
    ground.circuit = &o.job->circuit;
    ground.standing = o.standing;
    for (const Candidate& c : candidates) ground.prospects.push_back(c.prospect);
    ground.machines = possible_machines(o, ground.prospects);
    for (const Rival& r : o.rivals) {
        ground.suspects.push_back(r.suspect);
        ground.at_fault.emplace_back();
        for (const FaultRange& f : r.evidence->hypothesis.faults) ground.at_fault.back().push_back(f.part);
    }
    return draw_up_plan(ground);
}

} // namespace

Advice advise(Weighing& w, const std::vector<Rival>& rivals) {
    if (rivals.size() < 2) return {};
    const Outlook outlook = look_out(w, rivals);
    std::vector<Candidate> candidates = shortlist(outlook);
    for (Candidate& c : candidates) c.bits = information(c.bells, rivals.size());
    Advice advice;
    advice.plan = plan_with(outlook, candidates);
    const std::vector<Candidate> best = best_of_all(outlook, std::move(candidates), advice.plan);
    for (const Candidate& c : best) advice.next.push_back(worded(outlook, c));
    return advice;
}

} // namespace lostvolts

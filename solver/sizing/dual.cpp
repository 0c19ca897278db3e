#include "solver/sizing/dual.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace lostvolts {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double drop_slack = 1e-12; // volts

/// Options worth having, lightest first: each heavier one has less resistance.
std::vector<std::vector<int>> ladders(const ChoiceProblem& problem) {
    std::vector<std::vector<int>> all;
    for (const Segment& s : problem.segments) {
        std::vector<int> ladder(s.options.size());
        for (std::size_t k = 0; k < ladder.size(); ++k) ladder[k] = static_cast<int>(k);
        const auto at = [&s](int k) -> const SizeOption& { return s.options[static_cast<std::size_t>(k)]; };
        std::sort(ladder.begin(), ladder.end(), [&](int a, int b) {
            return at(a).mass != at(b).mass ? at(a).mass < at(b).mass : at(a).ohms < at(b).ohms;
        });
        std::vector<int> kept;
        for (const int k : ladder)
            if (kept.empty() || at(k).ohms < at(kept.back()).ohms) kept.push_back(k);
        all.push_back(std::move(kept));
    }
    return all;
}

struct Worker {
    const ChoiceProblem& problem;
    std::vector<std::vector<int>> ladder;
    std::vector<int> rung;    // per segment, on its ladder
    std::vector<double> drop; // per path

    const SizeOption& option(std::size_t s, int r) const {
        return problem.segments[s].options[static_cast<std::size_t>(ladder[s][static_cast<std::size_t>(r)])];
    }
    void sum_up() {
        drop.assign(problem.budgets.size(), 0.0);
        for (std::size_t s = 0; s < rung.size(); ++s)
            for (const auto& p : problem.segments[s].paths)
                drop[static_cast<std::size_t>(p.path)] += p.amps * option(s, rung[s]).ohms;
    }
    void step(std::size_t s, int to) {
        const double change = option(s, to).ohms - option(s, rung[s]).ohms;
        for (const auto& p : problem.segments[s].paths)
            drop[static_cast<std::size_t>(p.path)] += p.amps * change;
        rung[s] = to;
    }
    bool fits(const std::vector<double>& budgets) const {
        for (std::size_t j = 0; j < budgets.size(); ++j)
            if (drop[j] > budgets[j] + drop_slack) return false;
        return true;
    }
    double mass() const {
        double sum = 0;
        for (std::size_t s = 0; s < rung.size(); ++s) sum += option(s, rung[s]).mass;
        return sum;
    }
    std::vector<int> options() const {
        std::vector<int> all(rung.size());
        for (std::size_t s = 0; s < rung.size(); ++s) all[s] = ladder[s][static_cast<std::size_t>(rung[s])];
        return all;
    }

    /// Thicker where a kilogram takes most off what is over; false when nothing helps.
    bool repair(const std::vector<double>& budgets) {
        sum_up();
        while (!fits(budgets)) {
            double best = 0;
            std::size_t where = 0;
            for (std::size_t s = 0; s < rung.size(); ++s) {
                if (rung[s] + 1 >= static_cast<int>(ladder[s].size())) continue;
                const SizeOption &now = option(s, rung[s]), &next = option(s, rung[s] + 1);
                double gain = 0;
                for (const auto& p : problem.segments[s].paths) {
                    const auto j = static_cast<std::size_t>(p.path);
                    if (const double over = drop[j] - budgets[j]; over > 0)
                        gain += std::min(over, p.amps * (now.ohms - next.ohms));
                }
                if (const double rate = gain / (next.mass - now.mass); rate > best) {
                    best = rate;
                    where = s;
                }
            }
            if (best <= 0) return false;
            step(where, rung[where] + 1);
        }
        return true;
    }

    /// Thinner wherever all still fits, the greatest saving first.
    void trim(const std::vector<double>& budgets) {
        while (true) {
            double best = 0;
            std::size_t where = 0;
            for (std::size_t s = 0; s < rung.size(); ++s) {
                if (rung[s] == 0) continue;
                const SizeOption &now = option(s, rung[s]), &next = option(s, rung[s] - 1);
                const double saving = now.mass - next.mass;
                if (saving <= best) continue;
                const bool fits = std::all_of(
                    problem.segments[s].paths.begin(), problem.segments[s].paths.end(), [&](const auto& p) {
                        const auto j = static_cast<std::size_t>(p.path);
                        return drop[j] + p.amps * (next.ohms - now.ohms) <= budgets[j] + drop_slack;
                    });
                if (!fits) continue;
                best = saving;
                where = s;
            }
            if (best <= 0) return;
            step(where, rung[where] - 1);
        }
    }

    /// Each wire's own best at these prices; the bound that they make.
    double price_out(const std::vector<double>& price) {
        double bound = 0;
        for (std::size_t j = 0; j < price.size(); ++j) bound -= price[j] * problem.budgets[j];
        for (std::size_t s = 0; s < rung.size(); ++s) {
            double per_ohm = 0;
            for (const auto& p : problem.segments[s].paths)
                per_ohm += price[static_cast<std::size_t>(p.path)] * p.amps;
            double least = infinity;
            for (int r = 0; r < static_cast<int>(ladder[s].size()); ++r) {
                const SizeOption& o = option(s, r);
                if (const double cost = o.mass + per_ohm * o.ohms; cost < least) {
                    least = cost;
                    rung[s] = r;
                }
            }
            bound += least;
        }
        sum_up();
        return bound;
    }
};

/// Keeps the best choice that fits and is accepted.
struct Keeper {
    const ChoiceProblem& problem;
    const Accept& accept;
    Worker& worker;
    DualAnswer& best;
    long asked = 0;

    void take() {
        constexpr long most_asked = 200; // `accept` may be dear
        if (!worker.repair(problem.budgets)) return;
        worker.trim(problem.budgets);
        keep(most_asked);
    }
    void keep(long most_asked) {
        const double mass = worker.mass();
        if (best.found && mass >= best.mass) return;
        std::vector<int> option = worker.options();
        if (accept && (++asked > most_asked || !accept(option))) return;
        best.found = true;
        best.mass = mass;
        best.option = std::move(option);
    }
};

} // namespace

DualAnswer solve_dual(const ChoiceProblem& problem, int steps, const Accept& accept,
                      std::span<const int> start) {
    DualAnswer best;
    best.price.assign(problem.budgets.size(), 0.0);
    Worker worker{problem, ladders(problem), std::vector<int>(problem.segments.size(), 0), {}};
    Keeper keeper{problem, accept, worker, best};
    if (!start.empty()) {
        best.found = true;
        best.option.assign(start.begin(), start.end());
        for (std::size_t s = 0; s < start.size(); ++s)
            best.mass += problem.segments[s].options[static_cast<std::size_t>(start[s])].mass;
    }
    best.bound = worker.price_out(best.price);
    keeper.take();
    if (!best.found) { // the thickest of all, if anything
        for (std::size_t s = 0; s < worker.rung.size(); ++s)
            worker.rung[s] = static_cast<int>(worker.ladder[s].size()) - 1;
        keeper.keep(std::numeric_limits<long>::max());
        if (!best.found) return best;
    }
    if (problem.budgets.empty()) return best;

    // One price for every path first, then projected subgradient steps of Polyak's length. Slopes are taken
    // against prices per budget, so that paths with small and large budgets move alike.
    std::vector<double> price(problem.budgets.size()), slope(price.size());
    std::vector<double> scale(price.size());
    for (std::size_t j = 0; j < scale.size(); ++j)
        scale[j] = 1 / std::max(1e-6, std::abs(problem.budgets[j]));
    const double whole = best.mass + 1e-9;
    for (int doubled = 0; doubled < 24; ++doubled) {
        const double t = std::ldexp(1e-4, doubled);
        for (std::size_t j = 0; j < price.size(); ++j)
            price[j] = t * whole * scale[j] / static_cast<double>(price.size());
        if (const double bound = worker.price_out(price); bound > best.bound) {
            best.bound = bound;
            best.price = price;
        }
        keeper.take();
    }
    price = best.price;
    double length = 1;
    int since = 0;
    for (int k = 0; k < steps; ++k) {
        const double bound = worker.price_out(price);
        if (bound > best.bound * (1 + 1e-9))
            since = 0;
        else if (++since >= 20) {
            length *= 0.7;
            since = 0;
            price = best.price;
            worker.price_out(price);
        }
        if (bound > best.bound) {
            best.bound = bound;
            best.price = price;
        }
        const double aim = best.found ? best.mass : 1.1 * best.bound + 1e-9;
        if (aim - best.bound <= 1e-12 * aim) break;
        double square = 0;
        for (std::size_t j = 0; j < price.size(); ++j) {
            slope[j] = (worker.drop[j] - problem.budgets[j]) * scale[j];
            if (price[j] <= 0 && slope[j] < 0) slope[j] = 0;
            square += slope[j] * slope[j];
        }
        if (square <= 0) break;
        const double stride = length * std::max(aim - bound, 1e-6 * aim) / square;
        for (std::size_t j = 0; j < price.size(); ++j)
            price[j] = std::max(0.0, price[j] + stride * slope[j] * scale[j]);
        if (k % 10 == 0) keeper.take();
    }
    return best;
}

} // namespace lostvolts

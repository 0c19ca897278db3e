#include "solver/lesson/sweep.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include "solver/lesson/meters.h"
#include "solver/locate/weighing.h"

namespace lostvolts {
namespace {

constexpr double band_sigmas = 2;    // a tolerance is the half-width of 95 %: two standard deviations
constexpr double slow_share = 0.9;   // a tenth slower. Common practice, no source
constexpr int looks_per_range = 100; // how finely the range is searched for crossings
constexpr int halvings = 50;

/// A quantity of the stand at a size of the fault; nothing where there is no working point.
using Curve = std::function<std::optional<double>(double size)>;

struct Runner {
    const Stand& stand;
    const SweepRequest& request;
    Workspace work{};

    std::vector<Fault> faults(double size) const { return {{request.part, request.kind, size}}; }

    std::optional<StatePrediction> at(int state, double size) {
        auto result = predict_state(stand.network, state, faults(size), work);
        if (!result) return std::nullopt;
        return *std::move(result);
    }
    std::optional<double> amps(int state, double size) {
        const auto s = at(state, size);
        if (!s) return std::nullopt;
        return si(s->parts[static_cast<std::size_t>(stand.load)].current);
    }
    std::optional<double> lost_volts(double size) {
        const auto s = at(stand.run, size);
        if (!s) return std::nullopt;
        return si(between_posts(stand, *s) - fall_across(stand, *s, stand.load));
    }
};

/// The first size at which the curve, above nothing after having been below or the other way round, passes
/// nothing. Where it is above from the start, that start when `from_start`.
std::optional<double> first_crossing(const SweepRequest& range, const Curve& curve, bool from_start) {
    double a = range.low;
    auto ya = curve(a);
    if (from_start && ya && *ya > 0) return a;
    for (int k = 1; k <= looks_per_range; ++k) {
        double b = range.low + (range.high - range.low) * k / looks_per_range;
        const auto yb = curve(b);
        if (ya && yb && (*ya > 0) != (*yb > 0)) {
            for (int h = 0; h < halvings; ++h) {
                const double middle = 0.5 * (a + b);
                const auto y = curve(middle);
                ((y && (*y > 0) == (*ya > 0)) ? a : b) = middle;
            }
            return 0.5 * (a + b);
        }
        a = b;
        ya = yb;
    }
    return std::nullopt;
}

/// Standard deviation of the healthy circuit's current through the load: its parts' tolerances and the clamp.
double healthy_sigma(const Stand& stand, int state, double amps) {
    Workspace work;
    Operating at;
    std::vector<double> slopes;
    Setup setup = set_up(stand.network, state);
    if (operate(stand.network, setup, work, at)) return 0;
    const Probe clamp{ProbeKind::current, none, none, stand.load};
    read_probes_with_slopes(stand.network, setup, at, work, std::span(&clamp, 1), slopes);
    double variance = std::pow(class_sigma(Measurand::current, amps), 2);
    const Circuit& c = *stand.circuit;
    for (std::size_t p = 0; p < c.parts.size(); ++p) {
        const std::vector<double> deviations = numbers_of(c.parts[p].law, c.parts[p].tolerance).deviations;
        for (std::size_t k = 0; k < deviations.size(); ++k)
            variance += std::pow(
                slopes[static_cast<std::size_t>(stand.network.first_number[p]) + k] * deviations[k], 2);
    }
    return std::sqrt(variance);
}

std::optional<CurrentBand> band_of(Runner& runner, int state) {
    const auto healthy = predict_state(runner.stand.network, state, {}, runner.work);
    if (!healthy) return std::nullopt;
    const double amps = si(healthy->parts[static_cast<std::size_t>(runner.stand.load)].current);
    const double half = band_sigmas * healthy_sigma(runner.stand, state, amps);
    CurrentBand band{amps - half, amps + half, {}};
    band.left_at = first_crossing(
        runner.request,
        [&](double size) -> std::optional<double> {
            const auto i = runner.amps(state, size);
            if (!i) return std::nullopt;
            return std::max(band.low - *i, *i - band.high);
        },
        true);
    return band;
}

std::optional<double> slow_at(Runner& runner) {
    const auto healthy = predict_state(runner.stand.network, runner.stand.run, {}, runner.work);
    const MotorResult* sound = healthy ? motor_in(*healthy, runner.stand.load) : nullptr;
    if (!sound) return std::nullopt;
    const double least = slow_share * si(sound->speed);
    return first_crossing(
        runner.request,
        [&](double size) -> std::optional<double> {
            const auto s = runner.at(runner.stand.run, size);
            if (!s) return std::nullopt;
            const MotorResult* motor = motor_in(*s, runner.stand.load);
            return least - (motor ? si(motor->speed) : 0);
        },
        true);
}

std::vector<SweepRow> rows_of(Runner& runner) {
    const Stand& stand = runner.stand;
    const SweepRequest& r = runner.request;
    std::vector<SweepRow> rows;
    for (int k = 0; k <= r.steps; ++k) {
        SweepRow row;
        row.size = r.low + (r.high - r.low) * k / r.steps;
        const Signature s = signature_of(stand, {}, runner.faults(row.size), runner.work);
        row.solved = !s.trouble;
        if (row.solved) {
            row.run_current = s.run_current;
            row.stall_current = s.stall_current;
            row.speed = s.speed;
            row.across = s.across;
            row.lost = s.lost;
            row.power_in_fault = s.power_in_fault;
        }
        rows.push_back(row);
    }
    return rows;
}

bool is_the_swept_fault(const Condition& c, const SweepRequest& r) {
    return c.faults.size() == 1 && c.faults[0].part == r.part && c.faults[0].kind == r.kind;
}

std::vector<SameCurrent> doubles_of(Runner& runner, const std::vector<Condition>& conditions) {
    std::vector<SameCurrent> all;
    // Where a clamp sees no change over the whole range, every size draws what every other does.
    const auto first = runner.amps(runner.stand.run, runner.request.low),
               last = runner.amps(runner.stand.run, runner.request.high);
    if (first && last && std::abs(*last - *first) < class_sigma(Measurand::current, *first)) return all;
    for (std::size_t k = 0; k < conditions.size(); ++k) {
        if (is_the_swept_fault(conditions[k], runner.request)) continue;
        const auto other =
            predict_state(runner.stand.network, runner.stand.run, conditions[k].faults, runner.work);
        if (!other) continue;
        const double amps = si(other->parts[static_cast<std::size_t>(runner.stand.load)].current);
        const auto size = first_crossing(
            runner.request,
            [&](double s) -> std::optional<double> {
                const auto i = runner.amps(runner.stand.run, s);
                if (!i) return std::nullopt;
                return *i - amps;
            },
            false);
        if (size) all.push_back({static_cast<int>(k), *size, amps});
    }
    std::sort(all.begin(), all.end(),
              [](const SameCurrent& a, const SameCurrent& b) { return a.size < b.size; });
    return all;
}

} // namespace

Result<Sweep> sweep(const Stand& stand, const SweepRequest& request,
                    const std::vector<Condition>& conditions) {
    Runner runner{stand, request};
    Sweep result;
    result.request = request;
    const auto run = band_of(runner, stand.run);
    if (!run) {
        const auto healthy = predict_state(stand.network, stand.run, {}, runner.work);
        return healthy.problems();
    }
    result.run = *run;
    if (stand.turns()) result.stall = band_of(runner, stand.stall);
    result.rows = rows_of(runner);
    result.limit = stand.circuit->limits.drops.whole_loop;
    result.limit_at = first_crossing(
        request,
        [&](double size) -> std::optional<double> {
            const auto volts = runner.lost_volts(size);
            if (!volts) return std::nullopt;
            return *volts - si(result.limit);
        },
        true);
    if (stand.turns()) result.slow_at = slow_at(runner);
    const auto matters = result.matters_at();
    if (matters && (!result.run.left_at || *result.run.left_at > *matters))
        result.misleads =
            Sweep::Stretch{*matters, result.run.left_at.value_or(request.high), !result.run.left_at};
    result.doubles = doubles_of(runner, conditions);
    return result;
}

} // namespace lostvolts

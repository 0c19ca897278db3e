#include "solver/sizing/study.h"

#include <algorithm>
#include <cmath>
#include <thread>

#include <fmt/format.h>

#include "solver/network/measure.h"
#include "solver/sizing/draw.h"

namespace lostvolts {
namespace {

constexpr double edge_deviates = 1.959963984540054; // 95 % of a normal lies within
constexpr double carries = 1e-6;                    // amperes
constexpr double out_of_reach = -1;                 // a sample without a working point

/// Where the lost volts are read: the outermost source posts, and the load.
struct Gauge {
    PointId high = none, low = none, plus = none, minus = none;
    double across(const Network& n, const Operating& at) const {
        return std::abs(at.volts(n, plus) - at.volts(n, minus));
    }
    double lost(const Network& n, const Operating& at) const {
        return at.volts(n, high) - at.volts(n, low) - across(n, at);
    }
};

/// A setup that one thread draws into. Relays stay as in the circuit as drawn as long as their coils get what
/// closes them; else they are decided anew.
struct Bench {
    const Network& network;
    const Strays& strays;
    Setup setup;
    Workspace work{};
    Operating at{};
    std::vector<int> free_relays{};

    Bench(const Network& n, const Strays& s, Setup drawn, const Operating& nominal)
        : network(n), strays(s), setup(std::move(drawn)) {
        for (std::size_t p = 0; p < setup.parts.size(); ++p)
            if (auto* relay = std::get_if<Relay<>>(&setup.parts[p]); relay && !setup.held[p]) {
                free_relays.push_back(static_cast<int>(p));
                relay->settings.closed = nominal.relay_closed[p] != 0;
            }
    }

    void hold(bool held) {
        for (const int p : free_relays) setup.held[static_cast<std::size_t>(p)] = held;
    }

    bool solve(const Draw& draw) {
        put_draw(strays, draw, setup);
        hold(true);
        bool solved = !operate(network, setup, work, at);
        bool as_drawn = solved;
        for (const int p : free_relays) {
            const auto& relay = std::get<Relay<>>(setup.parts[static_cast<std::size_t>(p)]);
            const auto coil = static_cast<std::size_t>(network.coil_branch[static_cast<std::size_t>(p)]);
            const double volts = std::abs(at.branch_amps[coil]) * si(relay.coil);
            as_drawn = as_drawn && (volts >= si(relay.settings.pull_in)) == relay.settings.closed;
        }
        hold(false);
        if (as_drawn) return true;
        const std::vector<AnyPart> before = setup.parts; // free relays are moved by operate()
        solved = !operate(network, setup, work, at);
        setup.parts = before;
        return solved;
    }
};

StraySpread spread_of(std::vector<double> values, bool low_side) {
    StraySpread s;
    if (values.empty()) return s;
    double sum = 0;
    for (const double v : values) sum += v;
    s.mean = sum / static_cast<double>(values.size());
    double square = 0;
    for (const double v : values) square += (v - s.mean) * (v - s.mean);
    s.deviation = std::sqrt(square / static_cast<double>(std::max<std::size_t>(1, values.size() - 1)));
    if (low_side)
        for (double& v : values) v = -v;
    std::sort(values.begin(), values.end());
    const auto at = [&](double share) { // nearest rank
        const auto rank = static_cast<std::size_t>(std::ceil(share * static_cast<double>(values.size())));
        const double v = values[std::max<std::size_t>(1, rank) - 1];
        return low_side ? -v : v;
    };
    s.p50 = at(0.5);
    s.p95 = at(0.95);
    s.p99 = at(0.99);
    s.max = at(1);
    return s;
}

/// Slopes of what is studied against each deviate and range, at a draw: the adjoint for the parts' numbers, a
/// small step for the three ranges.
struct Slopes {
    std::vector<double> deviates; // volts per standard deviation
    double ranges[3]{};           // volts per whole range
};

double& range_of(Draw& draw, int k) { return k == 0 ? draw.temperature : k == 1 ? draw.charge : draw.age; }

double read(const Bench& bench, const Gauge& gauge, bool lost) {
    return lost ? gauge.lost(bench.network, bench.at) : gauge.across(bench.network, bench.at);
}

std::optional<Slopes> slopes_at(Bench& bench, const Gauge& gauge, Draw draw, bool lost) {
    Slopes out;
    for (int k = 0; k < 3; ++k) {
        constexpr double step = 0.01;
        const double here = range_of(draw, k);
        const double low = std::max(0.0, here - step), high = std::min(1.0, here + step);
        range_of(draw, k) = high;
        if (!bench.solve(draw)) return std::nullopt;
        const double above = read(bench, gauge, lost);
        range_of(draw, k) = low;
        if (!bench.solve(draw)) return std::nullopt;
        out.ranges[k] = (above - read(bench, gauge, lost)) / (high - low);
        range_of(draw, k) = here;
    }
    if (!bench.solve(draw)) return std::nullopt;
    const Network& n = bench.network;
    const bool up = bench.at.volts(n, gauge.plus) >= bench.at.volts(n, gauge.minus);
    // Probes without input resistance to speak of load nothing.
    const Probe probes[] = {
        {ProbeKind::voltage, gauge.high, gauge.low, none, 1e15},
        {ProbeKind::voltage, up ? gauge.plus : gauge.minus, up ? gauge.minus : gauge.plus, none, 1e15}};
    std::vector<double> slopes;
    read_probes_with_slopes(n, bench.setup, bench.at, bench.work, probes, slopes);
    for (std::size_t k = 0; k < bench.strays.numbers.size(); ++k) {
        const Stray& s = bench.strays.numbers[k];
        const auto j = static_cast<std::size_t>(n.first_number[static_cast<std::size_t>(s.part)] + s.index);
        const double posts = slopes[2 * j], load = slopes[2 * j + 1];
        const double now = numbers_of(bench.setup.parts[static_cast<std::size_t>(s.part)])
                               .values[static_cast<std::size_t>(s.index)];
        const double drawn = s.value + draw.deviates[k] * s.deviation;
        const double scale = drawn != 0 ? now / drawn : 1; // what temperature and age multiply it by
        out.deviates.push_back((lost ? posts - load : load) * s.deviation * scale);
    }
    return out;
}

/// The worst corner: every number at the edge to which its slope points, slopes taken anew there until none
/// turns.
double worst_corner(Bench& bench, const Gauge& gauge, bool lost, int& rounds) {
    Draw draw;
    draw.deviates.assign(bench.strays.numbers.size(), 0.0);
    double worst = 0;
    const double sign = lost ? 1 : -1;
    for (rounds = 1; rounds <= 10; ++rounds) {
        const auto slopes = slopes_at(bench, gauge, draw, lost);
        if (!slopes) break;
        Draw next = draw;
        for (std::size_t k = 0; k < next.deviates.size(); ++k)
            next.deviates[k] = sign * slopes->deviates[k] >= 0 ? edge_deviates : -edge_deviates;
        for (int k = 0; k < 3; ++k) range_of(next, k) = sign * slopes->ranges[k] >= 0 ? 1 : 0;
        if (!bench.solve(next)) break;
        const double value = read(bench, gauge, lost);
        if (rounds > 1 && sign * value <= sign * worst) break;
        worst = value;
        if (next.deviates == draw.deviates && next.temperature == draw.temperature &&
            next.charge == draw.charge && next.age == draw.age)
            break;
        draw = next;
    }
    return worst;
}

std::vector<Influence> influences_of(const Strays& strays, const Slopes& slopes) {
    std::vector<Influence> all;
    double sum = 0;
    const auto add = [&](PartId part, std::string_view number, double volts) {
        all.push_back({part, std::string(number), volts, volts * volts});
        sum += volts * volts;
    };
    for (std::size_t k = 0; k < strays.numbers.size(); ++k)
        if (slopes.deviates[k] != 0) add(strays.numbers[k].part, strays.numbers[k].name, slopes.deviates[k]);
    const double uniform = 1 / std::sqrt(12.0); // deviation of a uniform share
    add(none, "temperature", slopes.ranges[0] * uniform);
    if (!strays.batteries.empty()) add(none, "charge", slopes.ranges[1] * uniform);
    add(none, "age of the source", slopes.ranges[2] * uniform);
    for (Influence& i : all) i.share = sum > 0 ? i.share / sum : 0;
    std::stable_sort(all.begin(), all.end(),
                     [](const Influence& a, const Influence& b) { return a.share > b.share; });
    return all;
}

/// For one load; without `plus` when it carries nothing.
Gauge find_gauge(const Network& n, const Setup& setup, const Operating& at, std::size_t load) {
    Gauge g;
    const Circuit& c = *n.circuit;
    for (std::size_t p = 0; p < setup.parts.size(); ++p) {
        if (!is_source(setup.parts[p]) || setup.link[p] == Link::out) continue;
        for (const PointId post : {c.parts[p].from, c.parts[p].to}) {
            if (g.high == none || at.volts(n, post) > at.volts(n, g.high)) g.high = post;
            if (g.low == none || at.volts(n, post) < at.volts(n, g.low)) g.low = post;
        }
    }
    if (std::abs(at.branch_amps[load]) < carries) return g;
    g.plus = c.parts[load].from;
    g.minus = c.parts[load].to;
    return g;
}

} // namespace

Result<ToleranceStudy> study_tolerances(const Network& network, const StudyRequest& request) {
    const Circuit& c = *network.circuit;
    Setup setup = set_up(network, request.state);
    Workspace work;
    Operating nominal;
    if (auto problem = operate(network, setup, work, nominal)) return *problem;
    ToleranceStudy study;
    study.request = request;
    // The load that loses most, over all of them.
    Gauge gauge;
    double most = -1;
    for (std::size_t p = 0; p < c.parts.size(); ++p) {
        const PartId one = static_cast<PartId>(p);
        if (request.load != none && request.load != one) continue;
        if (request.load == none && !is_load(c.parts[p].law)) continue;
        const Gauge here = find_gauge(network, setup, nominal, p);
        if (here.plus == none || here.lost(network, nominal) <= most) continue;
        most = here.lost(network, nominal);
        gauge = here;
        study.request.load = one;
    }
    if (gauge.plus == none)
        return Problem{c.file,
                       {},
                       fmt::format("no load carries current in state \"{}\"; there is nothing to study",
                                   c.states[static_cast<std::size_t>(request.state)].name),
                       "name a state in which the load is on",
                       ""};

    const Strays strays = find_strays(c, setup, request);
    const auto count = static_cast<std::size_t>(std::max(0l, request.samples));
    std::vector<double> lost(count), across(count);
    const auto work_through = [&](std::size_t first, std::size_t last) {
        Bench bench(network, strays, setup, nominal);
        Draw draw;
        for (std::size_t n = first; n < last; ++n) {
            draw_sample(strays, request.seed, n, draw);
            const bool solved = bench.solve(draw);
            lost[n] = solved ? std::max(0.0, gauge.lost(network, bench.at)) : out_of_reach;
            across[n] = solved ? gauge.across(network, bench.at) : out_of_reach;
        }
    };
    const auto threads = static_cast<std::size_t>(std::clamp(request.threads, 1, 256));
    std::vector<std::thread> others;
    for (std::size_t t = 1; t < threads; ++t)
        others.emplace_back(work_through, count * t / threads, count * (t + 1) / threads);
    work_through(0, count / threads);
    for (std::thread& t : others) t.join();

    std::erase_if(across, [](double v) { return v < 0; });
    long within = 0;
    std::vector<double> solved;
    for (const double v : lost)
        if (v > out_of_reach) {
            solved.push_back(v);
            within += v <= si(request.limit);
        }
    study.solved = static_cast<long>(solved.size());
    study.within_limit = count > 0 ? static_cast<double>(within) / static_cast<double>(count) : 0;
    study.drop = spread_of(solved, false);
    study.at_load = spread_of(across, true);

    Bench bench(network, strays, setup, nominal);
    Draw middle;
    middle.deviates.assign(strays.numbers.size(), 0.0);
    if (const auto slopes = slopes_at(bench, gauge, middle, true))
        study.influences = influences_of(strays, *slopes);
    int rounds = 0;
    study.worst_case_at_load = worst_corner(bench, gauge, false, rounds);
    study.worst_case_drop = worst_corner(bench, gauge, true, study.corner_rounds);
    return study;
}

} // namespace lostvolts

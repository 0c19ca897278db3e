#include "solver/spinup/run.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

namespace lostvolts {
namespace {

constexpr double step_share = 0.5;    // of the tolerance, for the error of one step
constexpr double shortest = 1e-13;    // seconds; below it the run has got stuck
constexpr double past_kink = 1e-7;    // of a step: landing just past a bend is enough, it has no jump
constexpr double trim = 0.03;         // of a step: so much the continuous answer may take from it or add
constexpr double coil_care = 0.1;     // of the error elsewhere: a late relay shifts everything after it
constexpr int most_landings = 8;

struct Run {
    const Network& network;
    const SpinUpRequest& request;
    Model& model;
    const Watch& watch;
    std::vector<Event>& events;
    RunCount& count;
    Timeline timeline;
    Stepper stepper;
    Moment at;
    double t = 0, h = 0;
    std::vector<int> bent{}, regions{}; // ports whose law has bends, and where on it they are
    std::vector<char> follows{};        // per own unknown
    std::vector<int> turning{};         // ports of commutating motors
    std::vector<double> last_pull{};    // of each, the angular acceleration a step ago, and its time
    double last_t = 0;
    /// Lengths that the steps of a bar wished for, in order: the next bar will want the same.
    std::vector<double> wishes{};
    std::size_t step_of_bar = 0;

    Run(const Network& n, const SpinUpRequest& r, Model& m, const Watch& w, std::vector<Event>& e, RunCount& c)
        : network(n), request(r), model(m), watch(w), events(e), count(c), timeline(m, r), stepper(m.system),
          at(m.start) {
        for (std::size_t p = 0; p < model.system.ports.size(); ++p) {
            const TimeLaw& law = model.system.ports[p].law;
            if (std::holds_alternative<Commutating>(law)) turning.push_back(static_cast<int>(p));
            if (std::holds_alternative<Charger<>>(law) || std::holds_alternative<Commutating>(law) ||
                std::holds_alternative<Contact>(law) || std::holds_alternative<Diode<>>(law) ||
                std::holds_alternative<Electronic<>>(law) || std::holds_alternative<Motor<>>(law))
                bent.push_back(static_cast<int>(p));
        }
        regions.resize(bent.size());
        last_pull.assign(turning.size(), 0);
        model.system.scale.assign(at.own.size(), 0);
        follows.assign(at.own.size(), 0);
    }

    Port& port(int p) { return model.system.ports[static_cast<std::size_t>(p)]; }

    void renew_scales() {
        const double share = step_share * request.tolerance;
        for (std::size_t k = 0; k < at.own.size(); ++k) {
            model.size[k] = std::max(model.size[k], std::abs(at.own[k]));
            model.system.scale[k] = follows[k] ? 1e300 : share * model.size[k];
        }
        for (const Mover& m : model.movers)
            if (m.coil_port != none)
                model.system.scale[static_cast<std::size_t>(port(m.coil_port).first)] *= coil_care;
        for (const int p : turning) { // an angle only counts within its bar
            const auto k = static_cast<std::size_t>(port(p).first + 2);
            model.size[k] = std::get<Commutating>(port(p).law).pitch();
            model.system.scale[k] = share * model.size[k];
        }
    }

    /// Unknowns that store nothing are as right as what they follow from.
    void find_followers() {
        for (std::size_t p = 0; p < model.system.ports.size(); ++p)
            for (int k = 0; k < model.system.ports[p].count; ++k)
                follows[static_cast<std::size_t>(model.system.ports[p].first + k)] =
                    stepper.slopes[p].stores[static_cast<std::size_t>(k)] == 0;
        renew_scales();
    }

    int region_at(int p, double share) {
        const Port& q = port(p);
        InTime own{};
        for (int k = 0; k < q.count; ++k)
            own[static_cast<std::size_t>(k)] = stepper.own_at(at, q.first + k, share);
        return region_of(q.law, stepper.volts_at(at, q.a, share) - stepper.volts_at(at, q.b, share), own.data());
    }
    int region_of_moment(int p, const Moment& m) {
        const Port& q = port(p);
        const auto volts = [&](std::int32_t n) { return n < 0 ? 0 : m.volts[static_cast<std::size_t>(n)]; };
        return region_of(q.law, volts(q.a) - volts(q.b), m.own.data() + q.first);
    }
    void take_regions() {
        for (std::size_t i = 0; i < bent.size(); ++i) regions[i] = region_of_moment(bent[i], at);
    }

    /// A step to begin with: each unknown may move by a tenth of its size.
    double first_step() {
        double least = std::min(1e-3, si(request.duration) / 10);
        for (std::size_t p = 0; p < model.system.ports.size(); ++p) {
            const Port& q = model.system.ports[p];
            for (std::size_t k = 0; k < static_cast<std::size_t>(q.count); ++k) {
                const TimeSlopes& s = stepper.slopes[p];
                if (s.stores[k] == 0) continue;
                const double rate = std::abs(s.value.row[k] / s.stores[k]);
                const double size = model.size[static_cast<std::size_t>(q.first) + k];
                if (rate * least > 0.1 * size) least = 0.1 * size / rate;
            }
        }
        return std::max(least, 1e-9);
    }

    std::optional<Problem> restart() {
        if (!stepper.settle(at)) {
            const Circuit& c = *network.circuit;
            return Problem{c.file, {},
                           fmt::format("state \"{}\": {:.6g} s into the start no currents were found that balance",
                                       c.states[static_cast<std::size_t>(request.state)].name, t),
                           "check the parts that draw constant power, and what limits the current", ""};
        }
        find_followers();
        take_regions();
        h = first_step();
        wishes.clear();
        step_of_bar = 0;
        return std::nullopt;
    }

    void move(int m, bool closed, Happening what) {
        Mover& mover = model.movers[static_cast<std::size_t>(m)];
        std::get<Contact>(port(mover.port).law).closed = closed;
        events.push_back({from_si<Time<>>(t), mover.part, what});
    }

    void turn_corner(const Due& due) {
        const Course& course = request.courses[static_cast<std::size_t>(due.index)];
        const auto k = static_cast<std::size_t>(due.corner);
        const int p = model.port_of_part[static_cast<std::size_t>(course.battery)];
        if (p == none) return;
        std::get<Supply>(port(p).law).emf = course.emf[k];
        const bool last = k + 1 == course.at.size();
        port(p).emf_rate = last ? 0 : si(course.emf[k + 1] - course.emf[k]) / si(course.at[k + 1] - course.at[k]);
    }

    void break_part(const Due& due) {
        const Fault& fault = request.changes[static_cast<std::size_t>(due.index)].fault;
        events.push_back({from_si<Time<>>(t), fault.part, Happening::breaks});
        const int p = model.port_of_part[static_cast<std::size_t>(fault.part)];
        if (p == none) return;
        TimeLaw& law = port(p).law;
        if (auto* contact = std::get_if<Contact>(&law)) {
            if (fault.kind == FaultKind::open) contact->closed = false;
            if (fault.kind == FaultKind::high_resistance)
                contact->closed_resistance += from_si<Resistance<>>(fault.size);
        } else if (auto* motor = std::get_if<Motor<>>(&law)) {
            apply(*motor, fault.kind, fault.size);
        } else if (auto* turning_motor = std::get_if<Commutating>(&law)) {
            apply(turning_motor->motor, fault.kind, fault.size);
        } else if (auto* fuse = std::get_if<Fuse<>>(&law)) {
            apply(*fuse, fault.kind, fault.size);
        } else if (auto* supply = std::get_if<Supply>(&law)) {
            auto battery = std::get<Battery<>>(network.circuit->parts[static_cast<std::size_t>(fault.part)].law);
            apply(battery, fault.kind, fault.size);
            supply->resistance += battery.added;
            if (fault.kind == FaultKind::low_charge) supply->emf = battery.emf;
        }
    }

    std::optional<Problem> take_due() {
        while (timeline.next() <= t) {
            const Due due = timeline.take();
            switch (due.what) {
            case Due::What::close:
                move(due.mover, true, Happening::closes);
                break;
            case Due::What::open:
                move(due.mover, false, Happening::opens);
                break;
            case Due::What::change:
                break_part(due);
                break;
            case Due::What::corner:
                turn_corner(due);
                break;
            case Due::What::sources_on:
                events.push_back({from_si<Time<>>(t), none, Happening::sources_on});
                break;
            }
        }
        return restart();
    }

    // ---- what the state of the circuit itself brings about ----

    double coil_amps(const Mover& m, double share) {
        return std::abs(stepper.own_at(at, port(m.coil_port).first, share));
    }
    static bool asks(const Mover& m, double amps) {
        return m.pulled ? amps < m.drop_out_amps : amps >= m.pull_in_amps;
    }
    bool relay_asks() {
        return std::any_of(model.movers.begin(), model.movers.end(), [&](const Mover& m) {
            return m.coil_port != none && asks(m, std::abs(stepper.end.own[static_cast<std::size_t>(
                                                     port(m.coil_port).first)]));
        });
    }
    bool bends() {
        for (std::size_t i = 0; i < bent.size(); ++i)
            if (region_of_moment(bent[i], stepper.end) != regions[i]) return true;
        return false;
    }

    template <class Test> static double first_share(const Test& test, double most) {
        double low = 0, high = most;
        for (int k = 0; k < 60 && high - low > 1e-13; ++k) {
            const double mid = 0.5 * (low + high);
            (test(mid) ? high : low) = mid;
        }
        return high;
    }
    /// The share of the step at which the first law bends or relay moves; 1 if none does.
    double share_to_happening() {
        double least = 1;
        for (std::size_t i = 0; i < bent.size(); ++i) {
            const auto changed = [&](double s) { return region_at(bent[i], s) != regions[i]; };
            if (region_of_moment(bent[i], stepper.end) != regions[i] || (least < 1 && changed(least)))
                least = std::min(least, first_share(changed, least));
        }
        for (const Mover& m : model.movers) {
            if (m.coil_port == none) continue;
            const auto asked = [&](double s) { return asks(m, coil_amps(m, s)); };
            if (asked(least)) least = std::min(least, first_share(asked, least));
        }
        return least;
    }

    /// After a landing: where a coil's current passes its mark nearby, the length that ends there exactly. Near
    /// its end the continuous answer is as right as the step. True when the length has changed.
    bool sharpen(double& length) {
        for (const Mover& m : model.movers) {
            if (m.coil_port == none) continue;
            const double mark = m.pulled ? m.drop_out_amps : m.pull_in_amps;
            const double end = coil_amps(m, 1), before = coil_amps(m, 1 - 1e-3);
            const double slope = (end - before) / 1e-3, off = (mark - end) / slope;
            if (!(std::abs(off) < 0.05) || (m.pulled ? slope > 0 : slope < 0)) continue;
            if (off > -4 * past_kink && off < -0.1 * past_kink) return false; // just past it
            length *= 1 + off + past_kink;
            return true;
        }
        return false;
    }

    struct Aim {
        int which = none; // of `turning`
        double edge = 0;
        double h = std::numeric_limits<double>::infinity();
    };
    double bar_ohms(int p, int sector) {
        const auto& c = std::get<Commutating>(port(p).law);
        const int bars = c.motor.settings.bars, in_turn = ((sector % c.ripples) + c.ripples) % c.ripples;
        const int bar = in_turn * bars / c.ripples;
        double ohms = 0;
        for (const BadBarOf& bad : request.bad_bars)
            if (bad.motor == model.part_of_port[static_cast<std::size_t>(p)] && bad.bar.bar % bars == bar)
                ohms += si(bad.bar.added);
        return ohms;
    }
    /// When the next commutator edge passes, by the rotor's speed and how it changes.
    Aim aim() {
        Aim best;
        for (std::size_t i = 0; i < turning.size(); ++i) {
            const int p = turning[i];
            const auto& c = std::get<Commutating>(port(p).law);
            const auto first = static_cast<std::size_t>(port(p).first);
            const double angle = at.own[first + 2], w = at.own[first + 1];
            const TimeSlopes& s = stepper.slopes[static_cast<std::size_t>(p)];
            const double pull = s.value.row[1] / s.stores[1];
            const double jerk = t > last_t && last_pull[i] != 0 ? (pull - last_pull[i]) / (t - last_t) : 0;
            const double edge = (c.sector + (w >= 0 ? 1 : 0)) * c.pitch(), way = edge - angle;
            if (way * w < 0) return {static_cast<int>(i), edge, 0}; // it has passed unforeseen
            if (w == 0 || std::abs(way) > 50 * std::abs(w) * h + 0.5 * std::abs(pull) * h * h) continue;
            double when = way / w;
            for (int k = 0; k < 6; ++k) {
                const double speed = w + when * (pull + 0.5 * when * jerk);
                if (speed * w <= 0) break;
                when -= (when * (w + when * (0.5 * pull + when * jerk / 6)) - way) / speed;
            }
            if (!(when > 0) || when >= best.h) continue;
            best = {static_cast<int>(i), edge, when};
        }
        return best;
    }
    /// The share of the attempted step at which the edge passes, beyond 1 too; by Newton on the continuous
    /// answer.
    double share_to_edge(const Aim& aimed) {
        const int k = port(turning[static_cast<std::size_t>(aimed.which)]).first + 2;
        const auto K = static_cast<std::size_t>(k);
        const double way = stepper.end.own[K] - at.own[K];
        double s = 1;
        for (int turn = 0; turn < 4; ++turn) s -= (stepper.own_at(at, k, s) - aimed.edge) / way;
        return s;
    }
    void note_pulls() {
        for (std::size_t i = 0; i < turning.size(); ++i) {
            const TimeSlopes& s = stepper.slopes[static_cast<std::size_t>(turning[i])];
            last_pull[i] = s.value.row[1] / s.stores[1];
        }
        last_t = t;
    }
    void pass_edge(const Aim& aimed) {
        const int p = turning[static_cast<std::size_t>(aimed.which)];
        auto& c = std::get<Commutating>(port(p).law);
        c.sector += at.own[static_cast<std::size_t>(port(p).first + 1)] >= 0 ? 1 : -1;
        c.added = from_si<Resistance<>>(bar_ohms(p, c.sector));
        ++count.bars;
        step_of_bar = 0;
    }

    std::optional<Problem> stuck() const {
        const Circuit& c = *network.circuit;
        return Problem{c.file, {},
                       fmt::format("state \"{}\": the start got stuck at {:.9g} s",
                                   c.states[static_cast<std::size_t>(request.state)].name, t),
                       "check for parts with next to no resistance, inductance or inertia", ""};
    }

    /// One accepted step, up to `stop` at most.
    std::optional<Problem> step(double stop) {
        Aim aimed = turning.empty() ? Aim{} : aim();
        for (; aimed.h == 0; aimed = aim()) pass_edge(aimed);
        if (step_of_bar < wishes.size()) h = wishes[step_of_bar];
        double limit = std::min(stop - t, si(request.longest_step));
        bool to_edge = false;
        if (aimed.h <= limit) limit = aimed.h, to_edge = true;
        bool to_limit = h >= limit * (1 - 1e-9);
        double length = to_limit ? limit : h > 0.5 * limit ? 0.5 * limit : h;
        bool landing = false;
        int landings = 0;
        double taken = 1; // of the step
        int refined = 0;
        while (true) {
            const double error = stepper.attempt(at, length);
            const double factor = std::clamp(0.9 / std::sqrt(std::sqrt(std::max(error, 1e-10))), 0.2, 6.0);
            if (error > 1) {
                ++count.rejected;
                length *= std::min(factor, 0.9);
                h = length;
                to_limit = landing = false;
                if (length < shortest) return stuck();
                continue;
            }
            stepper.prepare_dense(at);
            if (to_limit && to_edge) {
                taken = share_to_edge(aimed);
                if (std::abs(taken - 1) > trim && landings++ < most_landings) {
                    length *= std::clamp(taken, 0.2, 1.5);
                    taken = 1;
                    ++count.rejected;
                    continue;
                }
            }
            if (!landing && (bends() || relay_asks())) {
                const double share = share_to_happening();
                if (share < 1 - 2 * past_kink) {
                    length *= share * (1 + past_kink) + 1e-12;
                    landing = true;
                    to_limit = false;
                    ++count.rejected;
                    continue;
                }
            }
            if (landing && refined++ < 2 && sharpen(length)) {
                ++count.rejected;
                continue;
            }
            const double wished = length * factor;
            h = landing || to_limit ? std::max(h, wished) : wished;
            if (!turning.empty()) {
                wishes.resize(std::max(wishes.size(), step_of_bar + 1));
                wishes[step_of_bar++] = wished;
            }
            ++count.steps;
            if (watch) watch({t, length, taken, at, stepper});
            if (!turning.empty()) note_pulls();
            t += taken * length;
            if (to_limit && !to_edge) t = std::max(t, stop);
            if (taken == 1) {
                std::swap(at.volts, stepper.end.volts);
                std::swap(at.own, stepper.end.own);
            } else {
                for (std::size_t n = 0; n < at.volts.size(); ++n)
                    at.volts[n] = stepper.volts_at(at, static_cast<int>(n), taken);
                for (std::size_t k = 0; k < at.own.size(); ++k)
                    at.own[k] = stepper.own_at(at, static_cast<int>(k), taken);
            }
            if (to_limit && to_edge) pass_edge(aimed);
            break;
        }
        bool moved = false;
        for (std::size_t i = 0; i < model.movers.size(); ++i) {
            Mover& m = model.movers[i];
            if (m.coil_port == none) continue;
            if (!asks(m, std::abs(at.own[static_cast<std::size_t>(port(m.coil_port).first)]))) continue;
            m.pulled = !m.pulled;
            moved = true;
            events.push_back({from_si<Time<>>(t), m.part, m.pulled ? Happening::pulls_in : Happening::drops_out});
            if (m.pulled)
                timeline.close(model, static_cast<int>(i), t);
            else
                timeline.open(static_cast<int>(i), t);
        }
        renew_scales();
        if (moved) return std::nullopt; // take_due() starts anew
        stepper.begin(at);
        if (!bent.empty()) take_regions();
        return std::nullopt;
    }

    /// Coils and windings take up what leaks through the open contacts, which takes them microseconds; what
    /// is charged or warm stays so.
    std::optional<Problem> come_to_rest() {
        constexpr double long_enough = 1.0;
        if (!(stepper.attempt(at, long_enough) < 1e8)) return std::nullopt;
        for (const Port& p : model.system.ports)
            if (std::holds_alternative<RelayCoil>(p.law) || std::holds_alternative<Solenoid<>>(p.law) ||
                std::holds_alternative<Motor<>>(p.law) || std::holds_alternative<Commutating>(p.law))
                at.own[static_cast<std::size_t>(p.first)] = stepper.end.own[static_cast<std::size_t>(p.first)];
        return restart();
    }

    std::optional<Problem> whole() {
        const double duration = si(request.duration);
        if (model.from_dead) t = std::min(si(request.closing), duration);
        for (const int p : turning) {
            auto& c = std::get<Commutating>(port(p).law);
            c.added = from_si<Resistance<>>(bar_ohms(p, c.sector));
        }
        if (auto problem = restart()) return problem;
        if (!model.from_dead)
            if (auto problem = come_to_rest()) return problem;
        while (t < duration) {
            if (timeline.next() <= t)
                if (auto problem = take_due()) return problem;
            if (auto problem = step(std::min(duration, timeline.next()))) return problem;
        }
        return std::nullopt;
    }
};

} // namespace

std::optional<Problem> run_model(const Network& network, const SpinUpRequest& request, Model& model,
                                 const Watch& watch, std::vector<Event>& events, RunCount& count) {
    return Run(network, request, model, watch, events, count).whole();
}

} // namespace lostvolts

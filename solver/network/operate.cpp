#include "solver/network/operate.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "solver/network/relays.h"
#include "solver/network/unsettled.h"
#include "solver/units/patience.h"

namespace lostvolts {
namespace {

constexpr int plain_steps = 15;
constexpr int careful_steps = 300;
constexpr double settled_own = 1e-8; // of a part's own unknown, or of own_scale (A, rad/s, V)
constexpr double own_scale = 1e-3;
constexpr double fed_volts = 1;         // across a part in a circuit that is all but unloaded
constexpr int most_relay_moves = 4;     // in, out and in again is a sequence; more is chatter
constexpr double settled_share = 1e-11; // of the largest current
constexpr double input_farads = 1e-3;   // of an electronic load while the circuit starts up; common practice

/// One solve with relay positions fixed. References only: everything lives in the caller's workspace.
struct Solve {
    const Network& network;
    const Setup& setup;
    Workspace& work;
    Operating& out;
    double source_share = 1; ///< of every emf, below 1 while sources are raised from nothing
    double per_second = 0;   ///< of an implicit Euler step; 0 at rest

    double across(std::size_t branch) const { return out.across(network.branches[branch]); }

    Line take_line(std::size_t p, double volts) const {
        Pace pace{per_second, per_second > 0 ? work.stores[p] : std::array<double, most_own>{}};
        if (source_share < 1) {
            AnyPart weaker = setup.parts[p];
            if (auto* b = std::get_if<Battery<>>(&weaker)) b->emf *= source_share;
            if (auto* c = std::get_if<Charger<>>(&weaker)) c->regulated *= source_share;
            return line_at(weaker, volts, out.own[p], pace);
        }
        return line_at(setup.parts[p], volts, out.own[p], pace);
    }

    void stamp(std::size_t branch, const Line& line, double at_volts, std::vector<double>& siemens,
               std::vector<double>& amps) const {
        const Branch& b = network.branches[branch];
        siemens[branch] += line.siemens;
        const double constant = line.amps - line.siemens * at_volts;
        if (constant == 0) return;
        if (b.a != ground_node) amps[static_cast<std::size_t>(b.a)] -= constant;
        if (b.b != ground_node) amps[static_cast<std::size_t>(b.b)] += constant;
    }

    /// Everything whose line holds for all v; resets `curved`.
    void stamp_straight() {
        work.base_siemens.assign(network.edges.size(), 0);
        work.base_amps.assign(static_cast<std::size_t>(network.nodes), 0);
        work.curved.clear();
        for (std::size_t p = 0; p < setup.parts.size(); ++p) {
            work.lines[p] = {};
            work.line_volts[p] = 0;
            if (setup.bridged[p]) work.base_siemens[p] += 1 / setup.jumper;
            if (network.shunt_edge[p] != none)
                work.base_siemens[static_cast<std::size_t>(network.shunt_edge[p])] += setup.shunt_siemens[p];
            if (setup.link[p] == Link::out) continue;
            if (setup.link[p] == Link::jumper) {
                work.lines[p].siemens = 1 / setup.jumper;
                stamp(p, work.lines[p], 0, work.base_siemens, work.base_amps);
                continue;
            }
            if (const int coil = network.coil_branch[p]; coil != none)
                stamp(static_cast<std::size_t>(coil), coil_line(std::get<Relay<>>(setup.parts[p])), 0,
                      work.base_siemens, work.base_amps);
            if (!is_linear(setup.parts[p])) {
                work.curved.push_back(static_cast<int>(p));
                stamp_input(p);
                continue;
            }
            work.lines[p] = take_line(p, 0);
            stamp(p, work.lines[p], 0, work.base_siemens, work.base_amps);
        }
    }

    /// A constant-power load takes less when it gets more: beside a supply at its current limit nothing would
    /// hold the volts. Its input capacitor does, and carries nothing once they stand still.
    void stamp_input(std::size_t p) {
        if (per_second > 0 && std::holds_alternative<Electronic<>>(setup.parts[p]))
            stamp(p, {0, input_farads * per_second, {}, {}}, across(p), work.base_siemens, work.base_amps);
    }

    void solve_lines() {
        work.siemens = work.base_siemens;
        work.amps = work.base_amps;
        for (const int c : work.curved) {
            const auto p = static_cast<std::size_t>(c);
            stamp(p, work.lines[p], work.line_volts[p], work.siemens, work.amps);
        }
        eliminate(network.plan, work.siemens, work.factor);
        solve(network.plan, work.factor, work.amps);
    }

    /// Newton from the lines in the workspace. True when settled; out then holds the answer. Careful: a step
    /// ends where the first part comes to a kink of its curve (Katzenelson), which monotone parts can't cycle
    /// round.
    bool newton(bool careful = false) {
        const int most = careful ? careful_steps : plain_steps;
        for (int step = 1; step <= most; ++step) {
            ++out.iterations;
            solve_lines();
            if (!work.factor.cancelled.empty() ||
                !std::all_of(work.amps.begin(), work.amps.end(), [](double v) { return std::isfinite(v); }))
                return false;
            out.node_volts.swap(work.amps); // the last volts are now in work.amps
            const double share = careful ? share_to_kink(step) : 1;
            if (share < 1)
                for (std::size_t n = 0; n < work.amps.size(); ++n)
                    out.node_volts[n] = work.amps[n] + share * (out.node_volts[n] - work.amps[n]);
            if (renew_curved(share) && share == 1) return within_reach();
        }
        return false;
    }

    /// No point can stand further from another than all the sources in series: a constant-power load also
    /// "works" at a million volts and no current.
    bool within_reach() const {
        const double most = 1 + supply_volts();
        return std::all_of(out.node_volts.begin(), out.node_volts.end(),
                           [&](double v) { return std::abs(v) <= most; });
    }

    double supply_volts() const {
        double sum = 0;
        for (const AnyPart& part : setup.parts) {
            if (const auto* b = std::get_if<Battery<>>(&part)) sum += si(b->emf);
            if (const auto* c = std::get_if<Charger<>>(&part)) sum += si(c->regulated);
        }
        return sum;
    }

    /// Where the lines say a part's own unknowns go at `volts`.
    std::array<double, most_own> own_told(std::size_t p, double volts) const {
        std::array<double, most_own> own = work.lines[p].own;
        for (std::size_t k = 0; k < most_own; ++k)
            own[k] += work.lines[p].own_slope[k] * (volts - work.line_volts[p]);
        return own;
    }

    /// The share of the step, from the last volts to out.node_volts, at which the first part changes its
    /// stretch; 1 if none.
    double share_to_kink(int step) const {
        double least = 1;
        for (const int c : work.curved) {
            const auto p = static_cast<std::size_t>(c);
            const AnyPart& part = setup.parts[p];
            const double to = across(p), from = work.line_volts[p];
            const std::array<double, most_own> target = own_told(p, to), &origin = out.own[p];
            const auto region_at = [&](double t) {
                std::array<double, most_own> own{};
                for (std::size_t k = 0; k < most_own; ++k) own[k] = origin[k] + t * (target[k] - origin[k]);
                return region_of(part, from + t * (to - from), own);
            };
            const int here = region_at(0);
            if (region_at(least) == here) continue;
            double low = 0, high = least;
            for (int k = 0; k < 50 && high - low > 1e-12 * high; ++k) {
                const double mid = 0.5 * (low + high);
                (region_at(mid) == here ? low : high) = mid;
            }
            least = high;
        }
        // Curves that bend without a kink can still swing; late steps are halved now and then.
        return step > careful_steps / 3 && step % 2 == 0 ? std::min(least, 0.5) : least;
    }

    /// New lines at the new volts; true when the old ones already told these currents.
    bool renew_curved(double share) {
        double largest = 0, wrong = 0;
        bool still = true;
        for (const int c : work.curved) {
            const auto p = static_cast<std::size_t>(c);
            Line& line = work.lines[p];
            const double v = across(p), told = line.amps + line.siemens * (v - work.line_volts[p]);
            move_own(p, v, share);
            line = take_line(p, v);
            work.line_volts[p] = v;
            largest = std::max({largest, std::abs(line.amps), std::abs(told)});
            wrong = std::max(wrong, std::abs(line.amps - told));
            for (std::size_t k = 0; k < most_own; ++k)
                still = still && std::abs(line.own[k] - out.own[p][k]) <=
                                     settled_own * (std::abs(line.own[k]) + own_scale);
        }
        return still && wrong <= settled_share * largest + 1e-15;
    }

    /// Takes a part's own unknowns that share of the way that its line tells them to go.
    void move_own(std::size_t p, double v, double share) {
        if (share == 1) {
            out.own[p] = own_told(p, v);
            return;
        }
        const double start = work.line_volts[p];
        const std::array<double, most_own> target = own_told(p, start + (v - start) / share);
        for (std::size_t k = 0; k < most_own; ++k) out.own[p][k] += share * (target[k] - out.own[p][k]);
    }

    /// A first solve with every part at rest, 0 V across it: nearly unloaded. What then gets volts starts as
    /// its nameplate says; what gets next to none stays at rest, for a dead motor or lamp that starts from
    /// its nameplate comes down by halves.
    void start() {
        rest();
        ++out.iterations;
        solve_lines();
        out.node_volts.swap(work.amps);
        for (const int c : work.curved) {
            const auto p = static_cast<std::size_t>(c);
            if (std::abs(across(p)) > fed_volts) out.own[p] = start_of(setup.parts[p]);
            relinearise(p);
        }
    }

    void rest() {
        for (auto& own : out.own) own = {};
        std::fill(out.node_volts.begin(), out.node_volts.end(), 0.0);
        relinearise();
    }

    void relinearise(std::size_t p) {
        work.line_volts[p] = across(p);
        work.lines[p] = take_line(p, work.line_volts[p]);
    }

    void relinearise() {
        stamp_straight();
        for (const int c : work.curved) relinearise(static_cast<std::size_t>(c));
    }

    /// Second way: from rest, kink by kink.
    bool kink_by_kink() {
        rest();
        return newton(true);
    }

    /// Third way: let the circuit start up in time, in growing implicit Euler steps, until it stands still.
    bool start_up() {
        rest();
        constexpr int doublings = 34; // from ten microseconds to a day
        for (int k = 0; k < doublings; ++k) {
            const double seconds = std::ldexp(1e-5, k);
            for (std::size_t p = 0; p < setup.parts.size(); ++p)
                work.stores[p] = stored_at(setup.parts[p], across(p), out.own[p]);
            per_second = 1 / seconds;
            relinearise();
            if (!newton(true)) return false;
            take_own();
        }
        per_second = 0;
        relinearise();
        return newton(true);
    }

    /// Last way: raise the sources from nothing.
    bool raise_sources() {
        per_second = 0;
        for (int k = 1; k <= 40; ++k) {
            source_share = k / 40.0;
            if (k == 1)
                rest();
            else
                relinearise();
            if (!newton(true)) return false;
            take_own();
        }
        return true;
    }

    void take_own() {
        for (std::size_t p = 0; p < setup.parts.size(); ++p) out.own[p] = own_now(p);
    }

    std::array<double, most_own> own_now(std::size_t p) const { return own_told(p, across(p)); }

    /// Branch currents, own unknowns and slopes of the answer, and what Kirchhoff's current law leaves over.
    void finish() {
        for (std::size_t p = 0; p < setup.parts.size(); ++p) {
            const Line& line = work.lines[p];
            out.branch_amps[p] = line.amps + line.siemens * (across(p) - work.line_volts[p]);
            out.own[p] = own_now(p);
        }
        for (std::size_t b = setup.parts.size(); b < network.branches.size(); ++b) {
            const auto p = static_cast<std::size_t>(network.branches[b].part);
            out.branch_amps[b] = setup.link[p] == Link::part
                                     ? coil_line(std::get<Relay<>>(setup.parts[p])).siemens * across(b)
                                     : 0.0;
        }
        out.edge_siemens = work.base_siemens;
        for (const int c : work.curved)
            out.edge_siemens[static_cast<std::size_t>(c)] += slope_here(static_cast<std::size_t>(c));
        check_currents();
    }

    /// What a small current more finds: of a motor at rest its winding, for friction holds the shaft.
    double slope_here(std::size_t p) const {
        const auto* motor = std::get_if<Motor<>>(&setup.parts[p]);
        if (!motor || !held_at_rest(*motor, out.branch_amps[p])) return work.lines[p].siemens;
        Motor<> held = *motor;
        held.settings.locked = true;
        return line_at(held, work.line_volts[p], out.own[p]).siemens;
    }

    void check_currents() {
        std::vector<double>& sum = work.amps;
        sum.assign(static_cast<std::size_t>(network.nodes), 0);
        const auto leave = [&](std::int32_t a, std::int32_t b, double amps) {
            if (a != ground_node) sum[static_cast<std::size_t>(a)] += amps;
            if (b != ground_node) sum[static_cast<std::size_t>(b)] -= amps;
            out.largest_branch_amps = std::max(out.largest_branch_amps, std::abs(amps));
        };
        out.largest_branch_amps = 0;
        for (std::size_t b = 0; b < network.branches.size(); ++b) {
            const Branch& branch = network.branches[b];
            leave(branch.a, branch.b, out.branch_amps[b]);
            if (!branch.coil && setup.bridged[b]) leave(branch.a, branch.b, across(b) / setup.jumper);
        }
        for (std::size_t p = 0; p < setup.parts.size(); ++p)
            if (const int e = network.shunt_edge[p]; e != none && setup.shunt_siemens[p] > 0) {
                const auto node = network.edges[static_cast<std::size_t>(e)].a;
                leave(node, ground_node,
                      out.node_volts[static_cast<std::size_t>(node)] * setup.shunt_siemens[p]);
            }
        out.largest_leftover_amps = 0;
        std::int32_t worst = ground_node;
        for (std::size_t n = 0; n < sum.size(); ++n)
            if (std::abs(sum[n]) > out.largest_leftover_amps) {
                out.largest_leftover_amps = std::abs(sum[n]);
                worst = static_cast<std::int32_t>(n);
            }
        out.worst_point = none;
        if (worst == ground_node) return;
        const auto at = std::find(network.node_of_point.begin(), network.node_of_point.end(), worst);
        out.worst_point = static_cast<PointId>(at - network.node_of_point.begin());
    }
};

} // namespace

std::optional<Problem> operate(const Network& network, Setup& setup, Workspace& work, Operating& out) {
    give_up_if_told();
    const std::size_t parts = setup.parts.size();
    work.lines.resize(parts);
    work.line_volts.resize(parts);
    work.stores.resize(parts);
    out.own.resize(parts);
    out.branch_amps.resize(network.branches.size());
    out.node_volts.assign(static_cast<std::size_t>(network.nodes), 0.0);
    out.iterations = 0;

    bool has_relays = false;
    for (std::size_t p = 0; p < parts; ++p)
        if (network.coil_branch[p] != none && !setup.held[p]) {
            std::get<Relay<>>(setup.parts[p]).settings.closed = false;
            has_relays = true;
        }
    std::vector<int> moves(has_relays ? parts : 0);
    while (true) {
        Solve solve{network, setup, work, out};
        solve.start();
        if (!solve.newton() && !solve.kink_by_kink() && !solve.start_up() && !solve.raise_sources())
            return no_working_point(network, setup, work);
        solve.finish();
        if (!has_relays) break;
        const std::vector<PartId> moved = move_relays(network, setup, out);
        if (moved.empty()) break;
        for (const PartId p : moved)
            if (++moves[static_cast<std::size_t>(p)] > most_relay_moves)
                return chattering(network, setup, moved);
    }
    out.relay_closed.assign(parts, 0);
    for (std::size_t p = 0; p < parts; ++p)
        if (const auto* relay = std::get_if<Relay<>>(&setup.parts[p]))
            out.relay_closed[p] = relay->settings.closed;
    return std::nullopt;
}

void refactor_at(const Network& network, const Operating& at, Workspace& work) {
    eliminate(network.plan, at.edge_siemens, work.factor);
}

} // namespace lostvolts

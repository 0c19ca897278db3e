#include "solver/network/dead.h"

#include <algorithm>
#include <limits>

namespace lostvolts {
namespace {

// Slopes are taken at a current so small that no part's curve bends, and at so few volts that no diode
// conducts.
constexpr double most_amps = 1e-6, most_volts = 1e-3;

double at_node(const std::vector<double>& x, std::int32_t node, std::size_t r, std::size_t columns) {
    return node == ground_node ? 0.0 : x[static_cast<std::size_t>(node) * columns + r];
}

/// Adds what one pair of leads, `ohms` apart, owes to every part's numbers.
void add_slopes(const Network& n, const Setup& dead, const Operating& at, const std::vector<double>& x,
                std::size_t r, std::size_t columns, double ohms, std::vector<double>& slopes) {
    const double meter_amps = std::min(most_amps, most_volts / std::max(ohms, least_ohms));
    NumberSlopes s;
    const auto take = [&](std::size_t first, double across) {
        // slopes of the current at the meter's own, brought back to one ampere
        for (std::size_t j = 0; j < static_cast<std::size_t>(s.count); ++j)
            slopes[(first + j) * columns + r] -= across * s.amps[j] / meter_amps;
    };
    for (std::size_t p = 0; p < dead.parts.size(); ++p) {
        if (dead.link[p] == Link::out) continue;
        const Branch& b = n.branches[p];
        const double across = at_node(x, b.a, r, columns) - at_node(x, b.b, r, columns);
        if (dead.link[p] == Link::jumper || dead.bridged[p])
            slopes[(static_cast<std::size_t>(n.numbers) - 1) * columns + r] +=
                across * across / (dead.jumper * dead.jumper);
        if (dead.link[p] == Link::jumper) continue;
        const auto first = static_cast<std::size_t>(n.first_number[p]);
        const double volts = across * meter_amps;
        number_slopes(dead.parts[p], volts, line_at(dead.parts[p], volts, at.own[p]).own, s);
        take(first, across);
        if (const int coil = n.coil_branch[p]; coil != none) {
            const Branch& c = n.branches[static_cast<std::size_t>(coil)];
            const double coil_across = at_node(x, c.a, r, columns) - at_node(x, c.b, r, columns);
            coil_number_slopes(std::get<Relay<>>(dead.parts[p]), coil_across * meter_amps, s);
            take(first, coil_across);
        }
    }
}

/// Floating section of every node; empty when nothing floats.
struct Sections {
    std::vector<std::int32_t> by_node;
    Sections(const Network& n, const Workspace& work) {
        if (!work.factor.floating.empty()) by_node = floating_section(n.plan, work.factor);
    }
    std::int32_t of(std::int32_t node) const {
        return by_node.empty() || node == ground_node ? std::int32_t{none}
                                                      : by_node[static_cast<std::size_t>(node)];
    }
};

/// A branch whose numbers stray: by how much they move its siemens together, squared.
struct StrayBranch {
    Branch branch;
    double variance = 0;
};

std::vector<StrayBranch> stray_branches(const Network& n, const Setup& dead, const Operating& at,
                                        const std::vector<double>& deviations) {
    constexpr double volts = 1e-6; // so few that nothing bends
    std::vector<StrayBranch> all;
    NumberSlopes s;
    const auto add = [&](const Branch& b, std::size_t first) {
        double variance = 0;
        for (std::size_t j = 0; j < static_cast<std::size_t>(s.count); ++j) {
            const double by = s.amps[j] / volts * deviations[first + j];
            variance += by * by;
        }
        if (variance > 0) all.push_back({b, variance});
    };
    for (std::size_t p = 0; p < dead.parts.size(); ++p) {
        if (dead.link[p] == Link::out) continue;
        if (dead.link[p] == Link::jumper || dead.bridged[p]) {
            s.count = 1;
            s.amps[0] = -volts / (dead.jumper * dead.jumper);
            add(n.branches[p], static_cast<std::size_t>(n.numbers) - 1);
        }
        if (dead.link[p] == Link::jumper) continue;
        const auto first = static_cast<std::size_t>(n.first_number[p]);
        number_slopes(dead.parts[p], volts, line_at(dead.parts[p], volts, at.own[p]).own, s);
        add(n.branches[p], first);
        if (const int coil = n.coil_branch[p]; coil != none) {
            coil_number_slopes(std::get<Relay<>>(dead.parts[p]), volts, s);
            add(n.branches[static_cast<std::size_t>(coil)], first);
        }
    }
    return all;
}

} // namespace

Setup set_up_dead(const Network& network, int state, const std::vector<Fault>& faults) {
    Setup dead = set_up(network, state, faults);
    switch_off(dead);
    return dead;
}

void switch_off(Setup& setup) {
    for (std::size_t p = 0; p < setup.parts.size(); ++p) {
        if (is_source(setup.parts[p])) setup.link[p] = Link::out;
        if (auto* motor = std::get_if<Motor<>>(&setup.parts[p])) motor->settings.locked = true;
    }
}

Result<std::vector<double>> read_ohms(const Network& n, Setup& dead, Workspace& work,
                                      std::span<const Leads> leads, std::vector<double>* slopes) {
    Operating at;
    if (auto problem = operate(n, dead, work, at)) return Problems{*problem};
    refactor_at(n, at, work);
    const std::size_t columns = leads.size();
    const auto node_of = [&](PointId p) { return n.node_of_point[static_cast<std::size_t>(p)]; };
    const Sections sections(n, work);

    std::vector<char> joined(columns);
    std::vector<double> x(static_cast<std::size_t>(n.nodes) * columns, 0.0);
    for (std::size_t r = 0; r < columns; ++r) {
        const std::int32_t red = node_of(leads[r].red), black = node_of(leads[r].black);
        joined[r] = sections.of(red) == sections.of(black);
        if (!joined[r]) continue;
        if (red != ground_node) x[static_cast<std::size_t>(red) * columns + r] += 1;
        if (black != ground_node) x[static_cast<std::size_t>(black) * columns + r] -= 1;
    }
    solve_many(n.plan, work.factor, static_cast<int>(columns), x);

    std::vector<double> ohms(columns);
    if (slopes) slopes->assign(columns * static_cast<std::size_t>(n.numbers), 0.0);
    for (std::size_t r = 0; r < columns; ++r) {
        ohms[r] = joined[r] ? at_node(x, node_of(leads[r].red), r, columns) -
                                  at_node(x, node_of(leads[r].black), r, columns)
                            : std::numeric_limits<double>::infinity();
        if (slopes && joined[r]) add_slopes(n, dead, at, x, r, columns, ohms[r], *slopes);
    }
    return ohms;
}

Result<OhmsAmong> read_ohms_among(const Network& n, Setup& dead, Workspace& work,
                                  std::span<const PointId> points, const std::vector<double>& deviations) {
    Operating at;
    if (auto problem = operate(n, dead, work, at)) return Problems{*problem};
    refactor_at(n, at, work);
    const std::size_t count = points.size();
    const auto node_of = [&](std::size_t k) { return n.node_of_point[static_cast<std::size_t>(points[k])]; };
    // An ampere into each point; ground, or its section's held node, takes it up. What two points make of one
    // another is a difference of these.
    std::vector<double> x(static_cast<std::size_t>(n.nodes) * count, 0.0);
    for (std::size_t k = 0; k < count; ++k)
        if (node_of(k) != ground_node) x[static_cast<std::size_t>(node_of(k)) * count + k] += 1;
    solve_many(n.plan, work.factor, static_cast<int>(count), x);

    const Sections sections(n, work);
    const std::vector<StrayBranch> straying = stray_branches(n, dead, at, deviations);
    std::vector<double> across(straying.size() * count); // of each branch, for an ampere into each point
    for (std::size_t k = 0; k < count; ++k)
        for (std::size_t s = 0; s < straying.size(); ++s)
            across[k * straying.size() + s] =
                at_node(x, straying[s].branch.a, k, count) - at_node(x, straying[s].branch.b, k, count);
    OhmsAmong among{count, std::vector<double>(count * count, 0.0), std::vector<double>(count * count, 0.0)};
    for (std::size_t a = 0; a < count; ++a)
        for (std::size_t b = a + 1; b < count; ++b) {
            double ohms = std::numeric_limits<double>::infinity(), variance = 0;
            if (sections.of(node_of(a)) == sections.of(node_of(b))) {
                ohms = at_node(x, node_of(a), a, count) + at_node(x, node_of(b), b, count) -
                       at_node(x, node_of(a), b, count) - at_node(x, node_of(b), a, count);
                for (std::size_t s = 0; s < straying.size(); ++s) {
                    const double volts = across[a * straying.size() + s] - across[b * straying.size() + s];
                    variance += straying[s].variance * volts * volts * volts * volts;
                }
            }
            among.ohms[a * count + b] = among.ohms[b * count + a] = ohms;
            among.variance[a * count + b] = among.variance[b * count + a] = variance;
        }
    return among;
}

} // namespace lostvolts

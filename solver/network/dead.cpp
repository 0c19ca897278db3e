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

} // namespace

Setup set_up_dead(const Network& network, int state, const std::vector<Fault>& faults) {
    Setup dead = set_up(network, state, faults);
    for (std::size_t p = 0; p < dead.parts.size(); ++p) {
        if (is_source(dead.parts[p])) dead.link[p] = Link::out;
        if (auto* motor = std::get_if<Motor<>>(&dead.parts[p])) motor->settings.locked = true;
    }
    return dead;
}

Result<std::vector<double>> read_ohms(const Network& n, Setup& dead, Workspace& work,
                                      std::span<const Leads> leads, std::vector<double>* slopes) {
    Operating at;
    if (auto problem = operate(n, dead, work, at)) return Problems{*problem};
    refactor_at(n, at, work);
    const std::size_t columns = leads.size();
    const auto node_of = [&](PointId p) { return n.node_of_point[static_cast<std::size_t>(p)]; };
    std::vector<std::int32_t> sections;
    if (!work.factor.floating.empty()) sections = floating_section(n.plan, work.factor);
    const auto section_of = [&](std::int32_t node) {
        return sections.empty() || node == ground_node ? std::int32_t{none}
                                                       : sections[static_cast<std::size_t>(node)];
    };

    std::vector<char> joined(columns);
    std::vector<double> x(static_cast<std::size_t>(n.nodes) * columns, 0.0);
    for (std::size_t r = 0; r < columns; ++r) {
        const std::int32_t red = node_of(leads[r].red), black = node_of(leads[r].black);
        joined[r] = section_of(red) == section_of(black);
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

} // namespace lostvolts

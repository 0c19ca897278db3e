#include "solver/network/sound_state.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

constexpr std::size_t kept_numbers = 4'000'000; // of all columns kept, 32 MB
constexpr std::size_t least_kept = 4;           // two faults with a coil each
constexpr double jumper_deviation = 0.5; // share of its resistance: clips differ. Common practice, no source.

double at_node(const std::vector<double>& nodes, std::int32_t node) {
    return node == ground_node ? 0.0 : nodes[static_cast<std::size_t>(node)];
}

void take_across(const Network& n, const StrayRows& rows, EdgeColumn& c) {
    c.rows.resize(rows.size());
    for (std::size_t s = 0; s < rows.size(); ++s) {
        const Edge& e = n.edges[static_cast<std::size_t>(std::max(rows.edge[s], 0))];
        c.rows[s] = rows.edge[s] == none ? 0 : at_node(c.nodes, e.a) - at_node(c.nodes, e.b);
    }
}

/// Rows of one branch: its numbers' effect on its current, a straight line in its volts.
struct RowMaker {
    const Network& network;
    const StrayingNumbers& strays;
    StrayRows& rows;

    void put(int number, std::int32_t edge, double constant, double slope, double volts) {
        const int column = strays.column_of_number[static_cast<std::size_t>(number)];
        if (column == none || (constant == 0 && slope == 0)) return;
        const double deviation = strays.deviations[static_cast<std::size_t>(number)];
        auto at = static_cast<std::size_t>(column);
        if (rows.edge[at] != none) { // the number works in another branch already
            at = rows.size();
            rows.edge.push_back(none), rows.constant.push_back(0), rows.slope.push_back(0);
            rows.volts.push_back(0), rows.column_of_extra.push_back(column);
        }
        rows.edge[at] = edge;
        rows.constant[at] = constant * deviation;
        rows.slope[at] = slope * deviation;
        rows.volts[at] = volts;
    }
    void put_all(int first, std::int32_t edge, const NumberSlopes& at_none, const NumberSlopes& at_one,
                 double volts) {
        for (int j = 0; j < at_none.count; ++j) {
            const auto k = static_cast<std::size_t>(j);
            put(first + j, edge, at_none.amps[k], at_one.amps[k] - at_none.amps[k], volts);
        }
    }
};

void make_rows(const Network& n, const StrayingNumbers& strays, SoundState& s) {
    const auto columns = static_cast<std::size_t>(strays.columns());
    s.rows.edge.assign(columns, none);
    s.rows.constant.assign(columns, 0), s.rows.slope.assign(columns, 0), s.rows.volts.assign(columns, 0);
    RowMaker make{n, strays, s.rows};
    NumberSlopes at_none, at_one;
    for (std::size_t p = 0; p < s.setup.parts.size(); ++p) {
        if (s.setup.link[p] == Link::out) continue;
        const auto edge = static_cast<std::int32_t>(p);
        const double volts = s.at.across(n.branches[p]);
        if (s.setup.link[p] == Link::jumper || s.setup.bridged[p])
            make.put(n.numbers - 1, edge, 0, -1 / (s.setup.jumper * s.setup.jumper), volts);
        if (s.setup.link[p] == Link::jumper) continue;
        const AnyPart& part = s.setup.parts[p];
        if (!is_linear(part)) {
            s.bent.push_back(edge);
            s.bent_lines.push_back(line_at(part, volts, s.at.own[p]));
            continue;
        }
        number_slopes(part, 0, {}, at_none);
        number_slopes(part, 1, {}, at_one);
        make.put_all(n.first_number[p], edge, at_none, at_one, volts);
        if (const int coil = n.coil_branch[p]; coil != none) {
            const auto& relay = std::get<Relay<>>(part);
            coil_number_slopes(relay, 0, at_none);
            coil_number_slopes(relay, 1, at_one);
            make.put_all(n.first_number[p], coil, at_none, at_one,
                         s.at.across(n.branches[static_cast<std::size_t>(coil)]));
        }
    }
}

bool stands_apart(const Network& n, const SoundState& s, const Probe& probe) {
    if (s.sections.empty() || probe.kind != ProbeKind::voltage) return false;
    const auto section = [&](PointId p) {
        const auto node = n.node_of_point[static_cast<std::size_t>(p)];
        return node == ground_node ? std::int32_t{none} : s.sections[static_cast<std::size_t>(node)];
    };
    return section(probe.red) != section(probe.black);
}

/// The probe's own: how the volts between its leads answer an ampere anywhere; on a part, how its volts do.
EdgeColumn adjoint_of(const Network& n, const SoundState& s, const Probe& probe, bool apart) {
    EdgeColumn c;
    c.nodes.assign(static_cast<std::size_t>(n.nodes), 0.0);
    const auto add = [&](std::int32_t node, double amps) {
        if (node != ground_node) c.nodes[static_cast<std::size_t>(node)] += amps;
    };
    if (probe.kind == ProbeKind::voltage && !apart) {
        add(n.node_of_point[static_cast<std::size_t>(probe.red)], 1);
        add(n.node_of_point[static_cast<std::size_t>(probe.black)], -1);
    } else if (probe.kind == ProbeKind::current || probe.kind == ProbeKind::speed) {
        const Branch& b = n.branches[static_cast<std::size_t>(probe.through)];
        add(b.a, 1);
        add(b.b, -1);
    }
    solve(n.plan, s.factor, c.nodes);
    take_across(n, s.rows, c);
    return c;
}

void place_probes(const Network& n, SoundState& s, int columns, Workspace& work) {
    // What the instruments show without their own loading: read with none.
    std::vector<Probe> ideal = s.probes;
    for (Probe& p : ideal) p.input_ohms = 1e30, p.filament_volts = 0;
    s.values = read_probes(n, s.setup, s.at, work, ideal);
    for (const Probe& probe : s.probes) {
        s.apart.push_back(stands_apart(n, s, probe));
        s.adjoints.push_back(adjoint_of(n, s, probe, s.apart.back() != 0));
        s.direct_rows.emplace_back();
        if (probe.kind != ProbeKind::current) continue;
        const bool bridged = s.setup.bridged[static_cast<std::size_t>(probe.through)] != 0;
        for (std::size_t r = 0; r < s.rows.size(); ++r) {
            const bool jumper = s.rows.column(r) == columns - 1; // one across the part is not in the clamp
            if (s.rows.edge[r] == probe.through && !(bridged && jumper))
                s.direct_rows.back().push_back(static_cast<int>(r));
        }
    }
}

} // namespace

StrayingNumbers strays_of(const Network& network) {
    StrayingNumbers s;
    const auto note = [&](std::size_t first, const std::vector<double>& deviations,
                          std::vector<char>& strays) {
        for (std::size_t j = 0; j < deviations.size(); ++j) strays[first + j] |= deviations[j] > 0;
    };
    std::vector<char> strays(static_cast<std::size_t>(network.numbers), 0);
    for (std::size_t p = 0; p < network.circuit->parts.size(); ++p) {
        const Part& part = network.circuit->parts[p];
        const auto first = static_cast<std::size_t>(network.first_number[p]);
        const PartNumbers sound = numbers_of(part.law, part.tolerance);
        s.deviations.insert(s.deviations.end(), sound.deviations.begin(), sound.deviations.end());
        note(first, sound.deviations, strays);
        for (const FaultMode& mode :
             faults_of(part.law)) { // a dragging motor has friction that a sound one lacks
            AnyPart law = part.law;
            apply_fault(law, mode.kind, 0.5 * (mode.low + mode.high));
            note(first, numbers_of(law, part.tolerance).deviations, strays);
        }
    }
    s.deviations.push_back(jumper_ohms * jumper_deviation);
    strays.back() = 1;
    for (std::size_t j = 0; j < strays.size(); ++j) {
        s.column_of_number.push_back(strays[j] ? s.columns() : none);
        if (strays[j]) s.number_of_column.push_back(static_cast<int>(j));
    }
    return s;
}

std::optional<SoundState> sound_state(const Network& n, Setup setup, std::span<const Probe> probes,
                                      const StrayingNumbers& strays, Workspace& work) {
    SoundState s;
    s.setup = std::move(setup);
    if (operate(n, s.setup, work, s.at)) return std::nullopt;
    eliminate(n.plan, s.at.edge_siemens, s.factor);
    if (!s.factor.cancelled.empty()) return std::nullopt;
    if (!s.factor.floating.empty()) s.sections = floating_section(n.plan, s.factor);
    s.probes.assign(probes.begin(), probes.end());
    make_rows(n, strays, s);
    s.place_of_edge.assign(n.edges.size(), none);
    place_probes(n, s, strays.columns(), work);
    for (std::size_t p = 0; p < s.setup.parts.size(); ++p)
        if (n.coil_branch[p] != none && !s.setup.held[p] && s.setup.link[p] == Link::part)
            s.relays.push_back(static_cast<int>(p));
    for (const EdgeColumn& adjoint : s.adjoints) {
        double sum = 0;
        for (std::size_t r = 0; r < s.rows.size(); ++r) {
            const double move = adjoint.rows[r] * (s.rows.constant[r] + s.rows.slope[r] * s.rows.volts[r]);
            sum += move * move;
        }
        s.norms.push_back(std::sqrt(sum));
    }
    for (const int p : s.bent) column_of(n, s, p);
    return s;
}

EdgeColumn& column_of(const Network& n, SoundState& s, std::int32_t edge) {
    int& place = s.place_of_edge[static_cast<std::size_t>(edge)];
    if (place != none) return s.columns[static_cast<std::size_t>(place)];
    const std::size_t own = static_cast<std::size_t>(n.nodes) + s.rows.size();
    const std::size_t most =
        s.bent.size() + std::max(kept_numbers / std::max<std::size_t>(own, 1), least_kept);
    if (s.columns.capacity() < std::min(most, n.edges.size()))
        s.columns.reserve(std::min(most, n.edges.size())); // so that no reference moves
    std::size_t at = s.columns.size();
    if (at < most) {
        s.columns.emplace_back();
    } else {
        at = s.bent.size() + s.next_place++ % (most - s.bent.size());
        s.place_of_edge[static_cast<std::size_t>(s.columns[at].edge)] = none;
    }
    place = static_cast<int>(at);
    EdgeColumn& c = s.columns[at];
    c.edge = edge;
    c.norms.clear();
    c.nodes.assign(static_cast<std::size_t>(n.nodes), 0.0);
    const Edge& e = n.edges[static_cast<std::size_t>(edge)];
    if (e.a != ground_node) c.nodes[static_cast<std::size_t>(e.a)] += 1;
    if (e.b != ground_node) c.nodes[static_cast<std::size_t>(e.b)] -= 1;
    solve(n.plan, s.factor, c.nodes);
    take_across(n, s.rows, c);
    return c;
}

const std::vector<double>& norms_of(const SoundState& s, EdgeColumn& c) {
    if (!c.norms.empty()) return c.norms;
    const std::size_t rows = s.rows.size();
    for (const EdgeColumn& adjoint : s.adjoints) {
        double sum = 0;
        for (std::size_t r = 0; r < rows; ++r) {
            const double move = adjoint.rows[r] * s.rows.slope[r] * c.rows[r];
            sum += move * move;
        }
        c.norms.push_back(std::sqrt(sum));
    }
    double sum = 0, fourth = 0;
    for (std::size_t r = 0; r < rows; ++r) {
        const double move = c.rows[r] * (s.rows.constant[r] + s.rows.slope[r] * s.rows.volts[r]);
        const double square = s.rows.slope[r] * c.rows[r] * c.rows[r];
        sum += move * move, fourth += square * square;
    }
    c.norms.push_back(std::sqrt(sum));
    c.norms.push_back(std::sqrt(std::sqrt(fourth)));
    return c.norms;
}

} // namespace lostvolts

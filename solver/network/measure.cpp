#include "solver/network/measure.h"

#include <cmath>

namespace lostvolts {
namespace {

/// A tachometer shows nothing of the crawl of a motor that its friction holds.
bool shows_no_speed(const Setup& setup, const Operating& at, PartId part) {
    const auto p = static_cast<std::size_t>(part);
    const auto& motor = std::get<Motor<>>(setup.parts[p]);
    return stands_still(motor, at.own[p][1]) || held_at_rest(motor, at.branch_amps[p]);
}

/// Slope of a motor's speed against the volts across it, at the working point.
double speed_slope(const Network& n, const Setup& setup, const Operating& at, PartId part) {
    const auto p = static_cast<std::size_t>(part);
    if (shows_no_speed(setup, at, part)) return 0;
    return line_at(setup.parts[p], at.across(n.branches[p]), at.own[p]).own_slope[1];
}

/// Adds `weight` where the probe takes its volts: the gradient of the reading against node volts.
void add_gradient(const Network& n, const Setup& setup, const Operating& at, const Probe& probe,
                  double* gradient, std::size_t stride) {
    const auto add = [&](std::int32_t node, double weight) {
        if (node != ground_node) gradient[static_cast<std::size_t>(node) * stride] += weight;
    };
    if (probe.kind == ProbeKind::voltage) {
        add(n.node_of_point[static_cast<std::size_t>(probe.red)], 1);
        add(n.node_of_point[static_cast<std::size_t>(probe.black)], -1);
        return;
    }
    if (probe.kind == ProbeKind::contact) return;
    const auto p = static_cast<std::size_t>(probe.through);
    const Branch& b = n.branches[p];
    const double slope = probe.kind == ProbeKind::speed
                             ? (setup.link[p] == Link::part ? speed_slope(n, setup, at, probe.through) : 0)
                             : at.edge_siemens[p] - (setup.bridged[p] ? 1 / setup.jumper : 0);
    add(b.a, slope);
    add(b.b, -slope);
}

bool apart(const Probe& probe, const std::vector<int>& sections) {
    return !sections.empty() && probe.kind == ProbeKind::voltage &&
           sections[static_cast<std::size_t>(probe.red)] != sections[static_cast<std::size_t>(probe.black)];
}

/// A contact that a state or a fault holds was not moved by its coil.
bool pulled_in(const Setup& setup, const Operating& at, std::size_t part) {
    return setup.link[part] == Link::part && !setup.held[part] && at.relay_closed[part];
}

double value_of(const Network& n, const Setup& setup, const Operating& at, const Probe& probe,
                const std::vector<int>& sections) {
    if (probe.kind == ProbeKind::contact)
        return pulled_in(setup, at, static_cast<std::size_t>(probe.through)) ? 1 : 0;
    if (probe.kind == ProbeKind::current) return at.branch_amps[static_cast<std::size_t>(probe.through)];
    if (probe.kind == ProbeKind::speed)
        return shows_no_speed(setup, at, probe.through) ? 0
                                                        : at.own[static_cast<std::size_t>(probe.through)][1];
    return apart(probe, sections) ? 0 : at.volts(n, probe.red) - at.volts(n, probe.black);
}

bool is_on_part(const Probe& probe) {
    return probe.kind == ProbeKind::current || probe.kind == ProbeKind::speed;
}

std::vector<int> sections_of(const Network& n, const Workspace& work) {
    if (work.factor.floating.empty()) return {};
    const std::vector<std::int32_t> by_node = floating_section(n.plan, work.factor);
    std::vector<int> sections;
    sections.reserve(n.node_of_point.size());
    for (const std::int32_t node : n.node_of_point)
        sections.push_back(node == ground_node ? none : by_node[static_cast<std::size_t>(node)]);
    return sections;
}

/// The adjoint of each probe, interleaved: column r is probe r's, node by node.
std::vector<double> adjoints(const Network& n, const Setup& setup, const Operating& at, Workspace& work,
                             std::span<const Probe> probes) {
    const std::size_t columns = probes.size();
    std::vector<double> adjoint(static_cast<std::size_t>(n.nodes) * columns, 0.0);
    for (std::size_t r = 0; r < columns; ++r)
        add_gradient(n, setup, at, probes[r], adjoint.data() + r, columns);
    solve_many(n.plan, work.factor, static_cast<int>(columns), adjoint);
    return adjoint;
}

/// The share that a test lamp leaves of `open_volts` behind `source_ohms`: its filament's resistance and the
/// volts across it settle each other. The share falls as the filament cools, so halving finds it.
double lamp_share(const Probe& probe, double open_volts, double source_ohms) {
    double low = 0, high = 1;
    for (int k = 0; k < 40; ++k) {
        const double share = 0.5 * (low + high), volts = share * open_volts;
        (volts + amps_drawn(probe, volts) * source_ohms < open_volts ? low : high) = share;
    }
    return 0.5 * (low + high);
}

/// The adjoint of column r taken between a probe's leads; 0 for one that has none.
double between_leads(const Network& n, const Probe& probe, const std::vector<double>& adjoint, std::size_t r,
                     std::size_t columns) {
    if (probe.kind != ProbeKind::voltage) return 0;
    const auto at = [&](PointId p) {
        const auto node = n.node_of_point[static_cast<std::size_t>(p)];
        return node == ground_node ? 0.0 : adjoint[static_cast<std::size_t>(node) * columns + r];
    };
    return at(probe.red) - at(probe.black);
}

/// R_in/(R_in + R_source) of a meter, and R_source is its own adjoint taken between the leads.
double loading(const Network& n, const Probe& probe, double open_value, const std::vector<double>& adjoint,
               std::size_t r, std::size_t columns) {
    if (probe.kind != ProbeKind::voltage) return 1;
    return share_left(probe, open_value, between_leads(n, probe, adjoint, r, columns));
}

} // namespace

double amps_drawn(const Probe& probe, double volts) {
    if (!(probe.filament_volts > 0)) return volts / probe.input_ohms;
    const Lamp<> lamp{from_si<Resistance<>>(probe.input_ohms),
                      {from_si<Voltage<>>(probe.filament_volts), {}}};
    return line_at(lamp, volts, {}).amps;
}

double share_left(const Probe& probe, double open_volts, double source_ohms) {
    if (probe.filament_volts > 0) return lamp_share(probe, std::abs(open_volts), source_ohms);
    return probe.input_ohms / (probe.input_ohms + source_ohms);
}

std::vector<int> floating_points(const Network& network, const Operating& at, Workspace& work) {
    refactor_at(network, at, work);
    std::vector<int> sections = sections_of(network, work);
    if (sections.empty()) sections.assign(network.node_of_point.size(), none);
    return sections;
}

std::vector<double> read_probes(const Network& network, const Setup& setup, const Operating& at,
                                Workspace& work, std::span<const Probe> probes) {
    refactor_at(network, at, work);
    const std::vector<int> sections = sections_of(network, work);
    const std::vector<double> adjoint = adjoints(network, setup, at, work, probes);
    std::vector<double> values(probes.size());
    for (std::size_t r = 0; r < probes.size(); ++r) {
        values[r] = value_of(network, setup, at, probes[r], sections);
        values[r] *= loading(network, probes[r], values[r], adjoint, r, probes.size());
    }
    return values;
}

std::vector<double> read_probes_with_slopes(const Network& network, const Setup& setup, const Operating& at,
                                            Workspace& work, std::span<const Probe> probes,
                                            std::vector<double>& slopes, std::vector<double>* shared_ohms) {
    refactor_at(network, at, work);
    const std::vector<int> sections = sections_of(network, work);
    std::vector<double> adjoint = adjoints(network, setup, at, work, probes);
    const std::size_t columns = probes.size();
    slopes.assign(columns * static_cast<std::size_t>(network.numbers), 0.0);

    // The meter's loading scales a reading and all its slopes alike; its own slope is neglected.
    std::vector<double> values(columns), share(columns);
    std::vector<std::size_t> on_part; // probes that also see their part directly
    for (std::size_t r = 0; r < columns; ++r) {
        values[r] = value_of(network, setup, at, probes[r], sections);
        share[r] =
            apart(probes[r], sections) ? 0 : loading(network, probes[r], values[r], adjoint, r, columns);
        values[r] *= share[r];
        if (is_on_part(probes[r])) on_part.push_back(r);
    }
    if (shared_ohms) {
        shared_ohms->resize(columns * columns);
        for (std::size_t r = 0; r < columns; ++r)
            for (std::size_t s = 0; s < columns; ++s)
                (*shared_ohms)[r * columns + s] = between_leads(network, probes[s], adjoint, r, columns);
    }
    for (std::size_t k = 0; k < adjoint.size(); k += columns)
        for (std::size_t r = 0; r < columns; ++r) adjoint[k + r] *= share[r];

    // By the adjoint, a number moves every reading by minus (adjoint across the branch)·(its effect on the
    // branch's current).
    std::vector<double> drop(columns);
    const auto drop_across = [&](const Branch& b) {
        static constexpr std::size_t ground = ~std::size_t{0};
        const std::size_t a = b.a == ground_node ? ground : static_cast<std::size_t>(b.a) * columns;
        const std::size_t z = b.b == ground_node ? ground : static_cast<std::size_t>(b.b) * columns;
        for (std::size_t r = 0; r < columns; ++r)
            drop[r] = (a == ground ? 0 : adjoint[a + r]) - (z == ground ? 0 : adjoint[z + r]);
    };
    const auto spread = [&](std::size_t first, const NumberSlopes& s) {
        for (std::size_t j = 0; j < static_cast<std::size_t>(s.count); ++j) {
            double* out = slopes.data() + (first + j) * columns;
            for (std::size_t r = 0; r < columns; ++r) out[r] -= s.amps[j] * drop[r];
        }
    };
    // A clamp or tachometer on the part itself also sees the number directly.
    const auto direct = [&](std::size_t p, std::size_t first, const NumberSlopes& s) {
        for (const std::size_t r : on_part) {
            if (static_cast<std::size_t>(probes[r].through) != p) continue;
            const bool speed = probes[r].kind == ProbeKind::speed;
            if (speed && shows_no_speed(setup, at, probes[r].through)) continue;
            const auto& own = speed ? s.own[1] : s.amps;
            for (std::size_t j = 0; j < static_cast<std::size_t>(s.count); ++j)
                slopes[(first + j) * columns + r] += own[j];
        }
    };
    NumberSlopes s;
    for (std::size_t p = 0; p < setup.parts.size(); ++p) {
        const Branch& b = network.branches[p];
        const auto first = static_cast<std::size_t>(network.first_number[p]);
        const double v = at.across(b);
        if (setup.link[p] == Link::out) continue;
        drop_across(b);
        if (setup.link[p] == Link::jumper || setup.bridged[p]) {
            // A jumper's current is v/R: its slope against R is −v/R².
            const auto last = static_cast<std::size_t>(network.numbers) - 1;
            s.count = 1;
            s.amps[0] = -v / (setup.jumper * setup.jumper);
            s.own[1][0] = 0;
            spread(last, s);
            if (setup.link[p] == Link::jumper) direct(p, last, s);
        }
        if (setup.link[p] == Link::jumper) continue;
        number_slopes(setup.parts[p], v, at.own[p], s);
        spread(first, s);
        direct(p, first, s);
        if (const int coil = network.coil_branch[p]; coil != none) {
            const Branch& c = network.branches[static_cast<std::size_t>(coil)];
            drop_across(c);
            coil_number_slopes(std::get<Relay<>>(setup.parts[p]), at.across(c), s);
            spread(first, s);
        }
    }
    return values;
}

} // namespace lostvolts

#include "solver/network/network.h"

#include <algorithm>

namespace lostvolts {
namespace {

bool can_short(const AnyPart& part) {
    const auto modes = faults_of(part);
    return std::any_of(modes.begin(), modes.end(),
                       [](const FaultMode& m) { return m.kind == FaultKind::short_to_ground; });
}

/// A motor shorts to its frame at its feed terminal; wire and connectors where they lead on.
PointId shorted_point(const Part& part) {
    return std::holds_alternative<Motor<>>(part.law) ? part.from : part.to;
}

} // namespace

Network analyse(std::shared_ptr<const Circuit> circuit) {
    Network n;
    n.circuit = std::move(circuit);
    const Circuit& c = *n.circuit;
    n.node_of_point.reserve(c.points.size());
    for (int p = 0; p < static_cast<int>(c.points.size()); ++p)
        n.node_of_point.push_back(p == c.ground ? ground_node : n.nodes++);
    const auto node = [&](PointId p) { return n.node_of_point[static_cast<std::size_t>(p)]; };

    const auto parts = static_cast<int>(c.parts.size());
    for (int p = 0; p < parts; ++p) {
        const Part& part = c.parts[static_cast<std::size_t>(p)];
        n.branches.push_back({p, false, node(part.from), node(part.to)});
        n.first_number.push_back(n.numbers);
        n.numbers += static_cast<int>(numbers_of(part.law).values.size());
    }
    n.first_number.push_back(n.numbers++);
    n.coil_branch.assign(c.parts.size(), none);
    for (int p = 0; p < parts; ++p) {
        const Part& part = c.parts[static_cast<std::size_t>(p)];
        if (part.coil_from == none) continue;
        n.coil_branch[static_cast<std::size_t>(p)] = static_cast<int>(n.branches.size());
        n.branches.push_back({p, true, node(part.coil_from), node(part.coil_to)});
    }
    for (const Branch& b : n.branches) n.edges.push_back({b.a, b.b});
    n.shunt_edge.assign(c.parts.size(), none);
    for (int p = 0; p < parts; ++p) {
        const Part& part = c.parts[static_cast<std::size_t>(p)];
        if (!can_short(part.law) || node(shorted_point(part)) == ground_node) continue;
        n.shunt_edge[static_cast<std::size_t>(p)] = static_cast<int>(n.edges.size());
        n.edges.push_back({node(shorted_point(part)), ground_node});
    }
    n.plan = plan_elimination(n.nodes, n.edges);
    return n;
}

Setup set_up(const Network& network, int state, const std::vector<Fault>& faults) {
    const Circuit& c = *network.circuit;
    Setup s;
    s.state = state;
    s.parts.reserve(c.parts.size());
    for (const Part& part : c.parts) s.parts.push_back(part.law);
    s.link.assign(c.parts.size(), Link::part);
    s.bridged.assign(c.parts.size(), 0);
    s.held.assign(c.parts.size(), 0);
    s.shunt_siemens.assign(c.parts.size(), 0);

    const State& st = c.states[static_cast<std::size_t>(state)];
    for (const PartId p : st.closed) {
        AnyPart& part = s.parts[static_cast<std::size_t>(p)];
        if (auto* sw = std::get_if<Switch<>>(&part)) sw->settings.closed = true;
        if (auto* relay = std::get_if<Relay<>>(&part)) {
            relay->settings.closed = true;
            s.held[static_cast<std::size_t>(p)] = 1;
        }
    }
    for (const PartId p : st.locked)
        if (auto* motor = std::get_if<Motor<>>(&s.parts[static_cast<std::size_t>(p)]))
            motor->settings.locked = true;
    for (const PartId p : st.removed) s.link[static_cast<std::size_t>(p)] = Link::out;
    for (const PartId p : st.bridged) {
        if (std::holds_alternative<Relay<>>(s.parts[static_cast<std::size_t>(p)]))
            s.link[static_cast<std::size_t>(p)] = Link::jumper;
        else
            s.bridged[static_cast<std::size_t>(p)] = 1;
    }
    for (const Fault& fault : faults) add_fault(network, s, fault);
    return s;
}

void add_fault(const Network& network, Setup& setup, const Fault& fault) {
    const auto p = static_cast<std::size_t>(fault.part);
    if (setup.link[p] != Link::part) return; // the faulty part is out of the circuit
    if (fault.kind == FaultKind::short_to_ground) {
        if (network.shunt_edge[p] != none) setup.shunt_siemens[p] = 1 / std::max(fault.size, least_ohms);
        return;
    }
    apply_fault(setup.parts[p], fault.kind, fault.size);
    if (fault.kind == FaultKind::open) {
        // A relay's contact that does not make leaves its coil alone.
        if (auto* relay = std::get_if<Relay<>>(&setup.parts[p])) {
            relay->settings.closed = false;
            setup.held[p] = 1;
        } else {
            setup.link[p] = Link::out;
        }
    }
    if (fault.kind == FaultKind::stuck_closed) setup.held[p] = 1;
}

} // namespace lostvolts

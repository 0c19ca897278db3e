#include "solver/spinup/model.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

constexpr double arc_over_sources = 2.5; // the arc must be able to stop the current: above every source

bool among(const std::vector<PartId>& parts, PartId p) {
    return std::find(parts.begin(), parts.end(), p) != parts.end();
}

/// The circuit as it was before the state's contacts closed.
Setup before_closing(const Network& network, const Setup& now, const State& state) {
    Setup s = now;
    for (std::size_t p = 0; p < s.parts.size(); ++p) {
        s.bridged[p] = 0;
        if (s.link[p] == Link::jumper) s.link[p] = Link::out;
        if (!among(state.closed, static_cast<PartId>(p))) continue;
        if (auto* sw = std::get_if<Switch<>>(&s.parts[p])) sw->settings.closed = false;
        if (auto* relay = std::get_if<Relay<>>(&s.parts[p])) relay->settings.closed = false;
    }
    (void)network;
    return s;
}

struct Builder {
    const Network& network;
    const SpinUpRequest& request;
    const Setup& setup;
    Model model{};
    std::vector<Edge> edges{};     // straight, between nodes
    std::vector<double> siemens{}; // of them
    std::vector<double> amps{};    // into nodes
    std::vector<std::pair<std::int32_t, std::int32_t>> port_nodes{};

    const Circuit& circuit() const { return *network.circuit; }
    const State& state() const { return circuit().states[static_cast<std::size_t>(request.state)]; }

    int add_port(TimeLaw law, const Branch& at, PartId part) {
        Port port{std::move(law), at.a, at.b, model.system.owns, 0, 0, false};
        port.straight = std::holds_alternative<Contact>(port.law) ||
                        std::holds_alternative<Diode<>>(port.law) ||
                        std::holds_alternative<Charger<>>(port.law);
        port.count = own_count(port.law);
        model.system.owns += port.count;
        model.system.ports.push_back(std::move(port));
        model.part_of_port.push_back(part);
        return static_cast<int>(model.system.ports.size()) - 1;
    }

    Contact contact(double ohms) const {
        Contact c;
        c.closed_resistance = from_si<Resistance<>>(ohms);
        c.arc = std::max(c.arc, from_si<Voltage<>>(arc_over_sources * model.source_volts));
        return c;
    }

    void add_straight(PartId p, double g, double constant) {
        const Branch& b = network.branches[static_cast<std::size_t>(p)];
        edges.push_back({b.a, b.b});
        siemens.push_back(g);
        if (b.a != ground_node) amps[static_cast<std::size_t>(b.a)] -= constant;
        if (b.b != ground_node) amps[static_cast<std::size_t>(b.b)] += constant;
        model.straights.push_back({p, g, constant, {}});
    }

    bool changes(PartId p) const {
        return std::any_of(request.changes.begin(), request.changes.end(),
                           [&](const Change& c) { return c.fault.part == p; });
    }
    const Course* course_of(PartId p) const {
        for (const Course& c : request.courses)
            if (c.battery == p && !c.at.empty()) return &c;
        return nullptr;
    }

    void add_relay(PartId p, const Relay<>& relay) {
        const auto at = static_cast<std::size_t>(p);
        Relay<> made = relay;
        made.settings.closed = true;
        const double ohms = 1 / line_at(made, 0, {}).siemens;
        const bool by_state = among(state().closed, p);
        if (setup.held[at] && !by_state) { // stuck, or a contact that does not make
            if (relay.settings.closed) add_straight(p, 1 / ohms, 0);
        } else if (!setup.held[at] || relay.settings.closed) {
            Mover m{p, add_port(contact(ohms), network.branches[at], p), by_state, none, 0, 0, false};
            model.port_of_part[at] = m.port;
            model.movers.push_back(m);
        }
        if (relay.settings.coil_open || network.coil_branch[at] == none) return;
        const int coil = add_port(RelayCoil{relay.coil, relay.settings.coil_inductance},
                                  network.branches[static_cast<std::size_t>(network.coil_branch[at])], p);
        if (setup.held[at] || model.movers.empty() || model.movers.back().part != p) return;
        Mover& m = model.movers.back();
        m.coil_port = coil;
        m.pull_in_amps = si(relay.settings.pull_in) / si(relay.coil);
        m.drop_out_amps = si(relay.settings.drop_out) / si(relay.coil);
    }

    void add_motor(PartId p, const Motor<>& motor) {
        const Branch& b = network.branches[static_cast<std::size_t>(p)];
        TimeLaw law = motor;
        if (request.ripple && motor.settings.bars > 0 && !motor.settings.locked) law = commutating(motor);
        model.port_of_part[static_cast<std::size_t>(p)] = add_port(std::move(law), b, p);
    }

    void add_part(PartId p) {
        const auto at = static_cast<std::size_t>(p);
        const AnyPart& part = setup.parts[at];
        const Branch& b = network.branches[at];
        if (setup.bridged[at])
            model.movers.push_back({p, add_port(contact(setup.jumper), b, p), true, none, 0, 0, false});
        if (const int e = network.shunt_edge[at]; e != none && setup.shunt_siemens[at] > 0) {
            edges.push_back(network.edges[static_cast<std::size_t>(e)]);
            siemens.push_back(setup.shunt_siemens[at]);
        }
        if (setup.link[at] == Link::out) return;
        if (setup.link[at] == Link::jumper) {
            Mover m{p, add_port(contact(setup.jumper), b, p), true, none, 0, 0, false};
            model.port_of_part[at] = m.port;
            model.movers.push_back(m);
            return;
        }
        if (const auto* relay = std::get_if<Relay<>>(&part)) return add_relay(p, *relay);
        if (const auto* motor = std::get_if<Motor<>>(&part)) return add_motor(p, *motor);
        if (const auto* sw = std::get_if<Switch<>>(&part)) {
            if (!sw->settings.closed) return;
            Mover m{p, add_port(contact(1 / line_at(part, 0, {}).siemens), b, p), true, none, 0, 0, false};
            model.port_of_part[at] = m.port;
            model.movers.push_back(m);
            return;
        }
        if (auto law = in_time(part)) {
            model.port_of_part[at] = add_port(*std::move(law), b, p);
            return;
        }
        const auto* battery = std::get_if<Battery<>>(&part);
        const Line line = line_at(part, 0, {});
        if (battery && (changes(p) || course_of(p))) {
            Supply supply{battery->emf, battery->resistance + battery->added};
            if (const Course* course = course_of(p)) supply.emf = course->emf.front();
            model.port_of_part[at] = add_port(supply, b, p);
        } else if (changes(p)) {
            Contact c = contact(1 / line.siemens);
            c.closed = true;
            model.port_of_part[at] = add_port(c, b, p);
        } else {
            add_straight(p, line.siemens, line.amps);
        }
    }

    /// A voltmeter's input lies across its leads like any resistor: a section that floats otherwise gets its
    /// path through it, and all channels of a recorder hang there at once.
    void add_meters() {
        const auto node = [&](PointId p) { return network.node_of_point[static_cast<std::size_t>(p)]; };
        for (const Probe& probe : request.probes) {
            if (probe.kind != ProbeKind::voltage || node(probe.red) == node(probe.black)) continue;
            edges.push_back({node(probe.red), node(probe.black)});
            siemens.push_back(1 / probe.input_ohms);
        }
    }

    void reduce_straights() {
        std::vector<char> keep(static_cast<std::size_t>(network.nodes), 0);
        for (const Port& p : model.system.ports)
            for (const std::int32_t node : {p.a, p.b})
                if (node != ground_node) keep[static_cast<std::size_t>(node)] = 1;
        const Reduction r = reduce(edges, siemens, amps, keep);
        System& s = model.system;
        s.nodes = static_cast<int>(r.kept.size());
        std::vector<Edge> all;
        for (Port& p : s.ports) {
            if (p.a != ground_node) p.a = r.place[static_cast<std::size_t>(p.a)];
            if (p.b != ground_node) p.b = r.place[static_cast<std::size_t>(p.b)];
            all.push_back({p.a, p.b});
        }
        all.insert(all.end(), r.edges.begin(), r.edges.end());
        s.plan = plan_elimination(s.nodes, all);
        s.base_siemens.assign(s.ports.size(), 0);
        s.base_siemens.insert(s.base_siemens.end(), r.siemens.begin(), r.siemens.end());
        s.base_amps = r.amps;
        model.node_volts = volts_of_nodes(r);
        model.start.volts.assign(static_cast<std::size_t>(s.nodes), 0);
        kept = r.kept;
        for (Straight& straight : model.straights)
            straight.volts = across_part(network, model, straight.part);
    }
    std::vector<std::int32_t> kept{};
};

/// The least that an own unknown comes to in a healthy start, so that errors are judged against something.
InTime usual_size(const TimeLaw& law, double volts) {
    const double share = 0.1;
    const auto of_motor = [&](const Motor<>& m) {
        return InTime{share * volts / si(m.winding), share * volts / si(m.constant), 0};
    };
    if (const auto* m = std::get_if<Motor<>>(&law)) return of_motor(*m);
    if (const auto* c = std::get_if<Commutating>(&law)) {
        InTime size = of_motor(c->motor);
        size[2] = c->pitch();
        return size;
    }
    if (const auto* c = std::get_if<RelayCoil>(&law)) return {share * volts / si(c->resistance), 0, 0};
    if (const auto* s = std::get_if<Solenoid<>>(&law)) return {share * volts / si(s->resistance), 0, 0};
    if (std::holds_alternative<Filament>(law)) return {1, 0, 0};
    return {share * volts, share * volts, share * volts};
}

/// Own unknowns of a port from the working point before closing.
InTime own_before(const TimeLaw& law, double volts, const std::array<double, most_own>& own) {
    if (const auto* lamp = std::get_if<Filament>(&law)) {
        const double rated = std::sqrt(si(lamp->power) * si(lamp->hot)), x = volts / rated;
        return {std::pow(x * x + dark_filament * dark_filament, 3.0 / 16), 0, 0};
    }
    if (const auto* coil = std::get_if<RelayCoil>(&law)) return {volts / si(coil->resistance), 0, 0};
    if (std::holds_alternative<Commutating>(law)) return {own[0], own[1], at_standstill(law)[2]};
    return {own[0], own[1], 0};
}

void start_from(Builder& b, const Operating* before) {
    Model& m = b.model;
    m.start.own.assign(static_cast<std::size_t>(m.system.owns), 0);
    if (before)
        for (std::size_t k = 0; k < b.kept.size(); ++k)
            m.start.volts[k] = before->node_volts[static_cast<std::size_t>(b.kept[k])];
    for (std::size_t p = 0; p < m.system.ports.size(); ++p) {
        const Port& port = m.system.ports[p];
        InTime own = at_standstill(port.law);
        if (before) {
            const auto at = [&](std::int32_t n) {
                return n < 0 ? 0 : m.start.volts[static_cast<std::size_t>(n)];
            };
            own = own_before(port.law, at(port.a) - at(port.b),
                             before->own[static_cast<std::size_t>(m.part_of_port[p])]);
        }
        const InTime size = usual_size(port.law, m.source_volts);
        for (int k = 0; k < port.count; ++k) {
            m.start.own[static_cast<std::size_t>(port.first + k)] = own[static_cast<std::size_t>(k)];
            m.size.push_back(size[static_cast<std::size_t>(k)]);
        }
    }
    if (!before) return;
    for (Mover& mover : m.movers)
        if (mover.coil_port != none && before->relay_closed[static_cast<std::size_t>(mover.part)]) {
            mover.pulled = true;
            std::get<Contact>(m.system.ports[static_cast<std::size_t>(mover.port)].law).closed = true;
        }
}

} // namespace

Result<Model> build_model(const Network& network, const SpinUpRequest& request, Workspace& work) {
    const Setup setup = set_up(network, request.state, request.faults);
    Builder b{network, request, setup};
    b.amps.assign(static_cast<std::size_t>(network.nodes), 0);
    b.model.port_of_part.assign(setup.parts.size(), none);
    for (const AnyPart& part : setup.parts) {
        if (const auto* battery = std::get_if<Battery<>>(&part)) b.model.source_volts += si(battery->emf);
        if (const auto* charger = std::get_if<Charger<>>(&part))
            b.model.source_volts += si(charger->regulated);
    }
    for (const Course& course : request.courses)
        for (const Voltage<>& emf : course.emf)
            b.model.source_volts = std::max(b.model.source_volts, si(emf));
    for (std::size_t p = 0; p < setup.parts.size(); ++p) b.add_part(static_cast<PartId>(p));
    b.add_meters();
    b.reduce_straights();

    const auto& movers = b.model.movers;
    b.model.from_dead = std::none_of(movers.begin(), movers.end(), [](const Mover& m) { return m.by_state; });
    if (b.model.from_dead) {
        start_from(b, nullptr);
        return std::move(b.model);
    }
    Setup before = before_closing(network, setup, b.state());
    Operating at;
    if (auto problem = operate(network, before, work, at)) return *std::move(problem);
    start_from(b, &at);
    return std::move(b.model);
}

namespace {

Reader between(const Network& network, const Model& model, std::int32_t a, std::int32_t b, double factor) {
    Reader r;
    std::vector<double> weight(static_cast<std::size_t>(model.system.nodes), 0);
    const auto add = [&](std::int32_t node, double sign) {
        if (node == ground_node) return;
        const Weighted& w = model.node_volts[static_cast<std::size_t>(node)];
        r.constant += sign * w.constant;
        for (std::size_t k = 0; k < weight.size(); ++k) weight[k] += sign * w.weight[k];
    };
    (void)network;
    add(a, factor);
    add(b, -factor);
    for (std::size_t k = 0; k < weight.size(); ++k)
        if (weight[k] != 0) r.weights.emplace_back(static_cast<int>(k), weight[k]);
    return r;
}

} // namespace

Reader across_part(const Network& network, const Model& model, PartId part) {
    const Branch& b = network.branches[static_cast<std::size_t>(part)];
    return between(network, model, b.a, b.b, 1);
}

Reader reader_of(const Network& network, const Model& model, const Probe& probe) {
    const auto node = [&](PointId p) { return network.node_of_point[static_cast<std::size_t>(p)]; };
    if (probe.kind == ProbeKind::voltage)
        return between(network, model, node(probe.red), node(probe.black), 1);
    Reader r;
    const int port = model.port_of_part[static_cast<std::size_t>(probe.through)];
    if (port != none) {
        const Port& p = model.system.ports[static_cast<std::size_t>(port)];
        const bool motor =
            std::holds_alternative<Motor<>>(p.law) || std::holds_alternative<Commutating>(p.law);
        if (probe.kind == ProbeKind::speed) {
            if (motor) r.own = p.first + 1;
        } else if (motor || std::holds_alternative<Fuse<>>(p.law) ||
                   std::holds_alternative<Solenoid<>>(p.law)) {
            r.own = p.first;
        } else {
            r.port = port;
        }
        return r;
    }
    if (probe.kind == ProbeKind::speed) return r;
    for (const Straight& s : model.straights)
        if (s.part == probe.through) {
            const Branch& b = network.branches[static_cast<std::size_t>(s.part)];
            r = between(network, model, b.a, b.b, s.siemens);
            r.constant += s.amps;
        }
    return r;
}

} // namespace lostvolts

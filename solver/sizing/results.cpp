#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "solver/sizing/harness.h"

namespace lostvolts {
namespace {

constexpr double carries = 1e-6; // amperes

std::string called(const SizingModel& m, PartId p) {
    return said(m.circuit.parts[static_cast<std::size_t>(p)]);
}

Voltage<> drop_across(const SizingModel& m, const ModelState& s, PartId p) {
    const Part& part = m.circuit.parts[static_cast<std::size_t>(p)];
    return from_si<Voltage<>>(s.at.volts(m.network, part.from) - s.at.volts(m.network, part.to));
}

bool judged(const SizingModel& m, const ModelState& s) {
    return m.circuit.states[static_cast<std::size_t>(s.state)].locked.empty();
}

/// What keeps a wire from its next thinner size.
Binding binding_of(const Harness& h, std::size_t w) {
    const int o = h.option[w];
    if (!h.model.wires[w].chosen) return Binding::kept;
    if (o == 0) return Binding::smallest;
    return h.refused[w][static_cast<std::size_t>(o - 1)].value_or(Binding::drop);
}

SizedWire sized_wire(const Harness& h, std::size_t w) {
    const SizingModel& m = h.model;
    const ModelWire& wire = m.wires[w];
    const WireDemand& demand = h.demands.wires[w];
    const SizeChoice& c = wire.choices[static_cast<std::size_t>(wire.chosen ? h.option[w] : 0)];
    const auto& drawn = std::get<Wire<>>(m.circuit.parts[static_cast<std::size_t>(wire.part)].law).settings;
    SizedWire out;
    out.part = wire.part;
    out.size = c.size;
    out.drawn = drawn.size;
    out.length = drawn.length;
    out.chosen = wire.chosen;
    for (const ModelState& s : m.states) {
        if (!judged(m, s)) continue;
        const double amps = s.at.branch_amps[static_cast<std::size_t>(wire.part)];
        if (out.state != none && std::abs(amps) <= std::abs(si(out.current))) continue;
        out.state = s.state;
        out.current = from_si<Current<>>(amps);
        out.drop = drop_across(m, s, wire.part);
    }
    out.temperature = celsius(run_celsius(demand, c));
    out.stalled = celsius(stall_celsius(demand, c));
    out.limit = m.request.insulation.limit;
    out.ampacity = ampacity(c.heat, out.limit);
    if (demand.only_fuse != none) out.fuse = m.fuses[static_cast<std::size_t>(demand.only_fuse)];
    out.copper = from_si<Mass<>>(c.copper_kg);
    out.mass = out.copper + insulation_mass_per_metre(c.size.area) * si(out.length);
    out.binding = binding_of(h, w);
    return out;
}

SizedFuse sized_fuse(const Harness& h, std::size_t f) {
    const SizingModel& m = h.model;
    const FuseDemand& d = h.demands.fuses[f];
    const auto amps = [](double value) { return from_si<Current<>>(value); };
    SizedFuse out;
    out.part = m.fuses[f];
    out.rating = amps(m.ratings[f]);
    out.drawn = std::get<Fuse<>>(m.circuit.parts[static_cast<std::size_t>(out.part)].law).settings.rating;
    const auto& keep = m.request.keep;
    out.chosen = d.load > carries && std::find(keep.begin(), keep.end(), out.part) == keep.end();
    out.load = amps(d.load);
    out.loaded = d.load / (m.ratings[f] * fuse_ambient_factor(m.request.ambient));
    out.start_peak = d.start.peak;
    out.start_use = start_use(d.start, out.rating);
    out.survives_start = out.start_use < 1;
    out.stall = amps(d.stall);
    out.on_stall = operating_time(out.rating, out.stall);
    out.short_current = amps(d.short_amps);
    out.on_short = operating_time(out.rating, out.short_current).longest;
    if (d.short_load != none) out.loads = m.circuit.parts[static_cast<std::size_t>(d.short_load)].name;
    return out;
}

/// Makers' steady ratings of contacts against the most current in run.
struct RatingOf {
    std::optional<Current<>> operator()(const Connector<>& p) const { return p.settings.rating; }
    std::optional<Current<>> operator()(const Relay<>& p) const { return p.settings.rating; }
    std::optional<Current<>> operator()(const Switch<>& p) const { return p.settings.rating; }
    template <class Other> std::optional<Current<>> operator()(const Other&) const { return std::nullopt; }
};

std::vector<Rating> ratings_of(const SizingModel& m) {
    std::vector<Rating> all;
    for (std::size_t p = 0; p < m.circuit.parts.size(); ++p) {
        const auto rating = std::visit(RatingOf{}, m.circuit.parts[p].law);
        if (!rating) continue;
        Rating r{static_cast<PartId>(p), {}, *rating, false};
        for (const ModelState& s : m.states)
            if (judged(m, s))
                r.current = std::max(r.current, from_si<Current<>>(std::abs(s.at.branch_amps[p])));
        r.over = si(*rating) > 0 && r.current > *rating;
        all.push_back(r);
    }
    return all;
}

/// The circuit with the new sizes, as warm as each state makes them, for the full prediction.
Result<std::vector<StatePrediction>> predictions(const Harness& h) {
    const SizingModel& m = h.model;
    std::vector<StatePrediction> all;
    Workspace work;
    for (const ModelState& s : m.states) {
        auto circuit = std::make_shared<Circuit>(m.circuit);
        for (std::size_t p = 0; p < circuit->parts.size(); ++p)
            if (m.wire_of_part[p] != none || m.fuse_index(static_cast<PartId>(p)) != none)
                circuit->parts[p].law = s.setup.parts[p];
        circuit->limits.drops.whole_loop = m.request.rule.whole_loop;
        if (m.request.rule.wire)
            circuit->limits.drops.wire = *m.request.rule.wire;
        else
            circuit->limits.drops.wire = m.request.rule.whole_loop;
        Network network = m.network;
        network.circuit = circuit;
        auto one = predict_state(network, s.state, {}, work);
        if (!one) return one.problems();
        all.push_back(*std::move(one));
    }
    return all;
}

void add_remarks(const Harness& h, Sizing& out) {
    const SizingModel& m = h.model;
    for (const std::string& state : h.idle)
        out.remarks.push_back(fmt::format("state \"{}\": no load carries current; it sizes nothing", state));
    for (const std::string& wire : h.off_way)
        out.remarks.push_back(
            fmt::format("wire \"{}\" is on no load's way in these states and stays as drawn", wire));
    std::vector<std::string> bare;
    for (std::size_t w = 0; w < m.wires.size(); ++w) {
        const std::string name = called(m, m.wires[w].part);
        if (h.demands.wires[w].unprotected) bare.push_back(name);
        if (m.wires[w].chosen) continue;
        if (const auto why = refused(m, h.demands.wires[w], m.wires[w].choices.front()))
            out.remarks.push_back(fmt::format("{} stays as drawn, and is too thin for its {}", name,
                                              *why == Binding::heat ? "heat" : "fuse"));
    }
    if (!bare.empty())
        out.remarks.push_back(
            fmt::format("no fuse stands before {}: put one within reach of the source, or guard "
                        "that length against chafing",
                        fmt::join(bare, ", ")));
    for (const SizedFuse& f : out.fuses) {
        const std::string name = called(m, f.part);
        if (f.loaded > steady_fuse_share * (1 + 1e-9))
            out.remarks.push_back(fmt::format("{} is loaded {:.0f} % in steady run, more than {:.0f} %", name,
                                              100 * f.loaded, 100 * steady_fuse_share));
        if (!f.survives_start) out.remarks.push_back(fmt::format("{} may open at a start", name));
        if (si(f.short_current) > 0 && si(f.on_short) > adiabatic_seconds)
            out.remarks.push_back(fmt::format("{} may not open within {:.0f} s on a short at {}", name,
                                              adiabatic_seconds, f.loads));
    }
    for (const Rating& r : out.ratings)
        if (r.over)
            out.remarks.push_back(fmt::format("{} carries {}, more than its rating of {}", called(m, r.part),
                                              show(r.current), show(r.rating)));
    for (const Part& part : m.circuit.parts)
        if (std::holds_alternative<Breaker<>>(part.law))
            out.remarks.push_back(
                fmt::format("breaker \"{}\": there is no time curve for breakers here; check by its "
                            "maker's that it protects its wires",
                            part.name));
    if (!h.stable)
        out.remarks.emplace_back(
            "sizes and currents did not settle on one another; check the answer with predict");
}

} // namespace

Sizing results(const Harness& h) {
    const SizingModel& m = h.model;
    Sizing out;
    for (std::size_t w = 0; w < m.wires.size(); ++w) {
        out.wires.push_back(sized_wire(h, w));
        out.copper += out.wires.back().copper;
        out.mass += out.wires.back().mass;
        const Metal& metal = *find_metal(
            std::get<Wire<>>(m.circuit.parts[static_cast<std::size_t>(m.wires[w].part)].law).settings.metal);
        out.copper_drawn +=
            from_si<Mass<>>(si(out.wires.back().drawn.area) * m.wires[w].metres * metal.density_kg_per_m3);
    }
    for (std::size_t f = 0; f < m.fuses.size(); ++f) out.fuses.push_back(sized_fuse(h, f));
    out.ratings = ratings_of(m);
    out.allowed = m.request.rule.whole_loop;
    for (const ModelState& s : m.states)
        if (judged(m, s))
            for (const LoadPath& path : s.paths)
                if (!path.coil)
                    out.worst_drop = std::max(out.worst_drop, from_si<Voltage<>>(lost_on(m, s, path)));
    if (auto states = predictions(h)) out.states = *std::move(states);
    out.proven = h.choice.proven && h.stable;
    out.bound = from_si<Mass<>>(h.choice.bound);
    out.one_way = h.tree;
    out.gap = h.choice.gap();
    out.nodes = h.choice.nodes;
    out.rounds = h.rounds;
    add_remarks(h, out);
    return out;
}

Circuit with_sizes(const Circuit& circuit, const Sizing& sizing) {
    Circuit sized = circuit;
    for (const SizedWire& w : sizing.wires) {
        if (!w.chosen) continue;
        auto& wire = std::get<Wire<>>(sized.parts[static_cast<std::size_t>(w.part)].law);
        wire.settings.size = w.size;
        wire.resistance =
            wire_resistance(w.size, w.length, *find_metal(wire.settings.metal), wire.settings.temperature);
    }
    for (const SizedFuse& f : sizing.fuses) {
        AnyPart& law = sized.parts[static_cast<std::size_t>(f.part)].law;
        law = with_rating(std::get<Fuse<>>(law), f.rating);
    }
    return sized;
}

} // namespace lostvolts

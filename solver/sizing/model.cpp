#include "solver/sizing/model.h"

#include <algorithm>
#include <cmath>
#include <deque>

namespace lostvolts {
namespace {

bool passes(const AnyPart& p) {
    return is_any<Wire<>, Fuse<>, Breaker<>, Switch<>, Relay<>, Connector<>, Splice<>, Ground<>, Diode<>,
                  Resistor<>>(p);
}

constexpr double carries = 1e-6; // amperes: less is none
constexpr double shorted_ohms = 1e-3;

std::vector<WireSize> sizes_sold(bool gauge) {
    std::vector<WireSize> all;
    if (gauge)
        for (const int g : gauge_sizes()) all.push_back({gauge_area(g), g});
    else
        for (const double mm2 : metric_sizes_mm2()) all.push_back({from_si<Area<>>(mm2 / 1e6), {}});
    return all;
}

SizeChoice choice_of(const WireSize& size, const Metal& metal, double metres, const SizingRequest& request) {
    SizeChoice c;
    c.size = size;
    c.heat = wire_heat(size, metal, request.ambient, request.bundle);
    c.ohms_20 = c.heat.ohms_per_m_20 * metres;
    c.copper_kg = si(size.area) * metres * metal.density_kg_per_m3;
    return c;
}

bool kept(const SizingRequest& request, PartId p) {
    return std::find(request.keep.begin(), request.keep.end(), p) != request.keep.end();
}

ModelWire model_wire(PartId p, const Wire<>& wire, const SizingRequest& request) {
    const WireSettings& s = wire.settings;
    ModelWire m;
    m.part = p;
    m.metres = si(s.length);
    const Metal& metal = *find_metal(s.metal);
    // A wire of another metal, or with a resistance of its own in the file, is a chassis or a lead that
    // stays.
    const double told = si(wire_resistance(s.size, s.length, metal, s.temperature));
    m.chosen =
        metal.name == "copper" && !kept(request, p) && std::abs(si(wire.resistance) - told) <= 1e-9 * told;
    if (!m.chosen) {
        m.choices = {choice_of(s.size, metal, m.metres, request)};
        return m;
    }
    const bool gauge = request.series == SizeSeries::gauge ||
                       (request.series == SizeSeries::as_drawn && s.size.gauge.has_value());
    for (const WireSize& size : sizes_sold(gauge))
        if (si(size.area) >= si(request.least_area) * (1 - 1e-9))
            m.choices.push_back(choice_of(size, metal, m.metres, request));
    if (m.choices.empty()) m.choices.push_back(choice_of(sizes_sold(gauge).back(), metal, m.metres, request));
    return m;
}

bool in_circuit(const ModelState& s, std::size_t p) {
    if (s.setup.link[p] != Link::part) return s.setup.link[p] == Link::jumper;
    if (const auto* sw = std::get_if<Switch<>>(&s.setup.parts[p])) return sw->settings.closed;
    if (std::holds_alternative<Relay<>>(s.setup.parts[p])) return s.at.relay_closed[p] != 0;
    return true;
}

struct Hop {
    PartId part = none;
    double sign = 0;
    PointId next = none; ///< one step nearer to the post
};

/// From every point, the hop towards a post, by the fewest parts that carry current.
std::vector<Hop> hops_to(const SizingModel& m, const ModelState& s, PointId post) {
    const Circuit& c = m.circuit;
    std::vector<std::vector<PartId>> at(c.points.size());
    for (std::size_t p = 0; p < c.parts.size(); ++p)
        if (passes(c.parts[p].law) && in_circuit(s, p)) {
            at[static_cast<std::size_t>(c.parts[p].from)].push_back(static_cast<PartId>(p));
            at[static_cast<std::size_t>(c.parts[p].to)].push_back(static_cast<PartId>(p));
        }
    std::vector<Hop> hops(c.points.size());
    std::vector<char> seen(c.points.size(), 0);
    std::deque<PointId> queue{post};
    seen[static_cast<std::size_t>(post)] = 1;
    while (!queue.empty()) {
        const PointId here = queue.front();
        queue.pop_front();
        for (const PartId p : at[static_cast<std::size_t>(here)]) {
            const Part& part = c.parts[static_cast<std::size_t>(p)];
            const PointId other = part.from == here ? part.to : part.from;
            if (seen[static_cast<std::size_t>(other)]) continue;
            seen[static_cast<std::size_t>(other)] = 1;
            hops[static_cast<std::size_t>(other)] = {p, part.from == other ? 1.0 : -1.0, here};
            queue.push_back(other);
        }
    }
    return hops;
}

struct Posts {
    PointId high = none, low = none;
};
Posts outermost_posts(const SizingModel& m, const ModelState& s) {
    Posts posts;
    const auto volts = [&](PointId p) { return s.at.volts(m.network, p); };
    for (std::size_t p = 0; p < m.circuit.parts.size(); ++p) {
        const Part& part = m.circuit.parts[p];
        if (!is_source(part.law) || s.setup.link[p] == Link::out) continue;
        for (const PointId post : {part.from, part.to}) {
            if (posts.high == none || volts(post) > volts(posts.high)) posts.high = post;
            if (posts.low == none || volts(post) < volts(posts.low)) posts.low = post;
        }
    }
    return posts;
}

/// Far above its rating a fuse's element is taken as warm as at its rating: the law of its steady warmth does
/// not hold there.
std::optional<std::vector<double>> amps_of(SizingModel& model, Setup& setup) {
    Operating at;
    for (AnyPart& part : setup.parts)
        if (auto* fuse = std::get_if<Fuse<>>(&part)) {
            fuse->cold *= 1 + fuse->settings.heating;
            fuse->settings.heating = 0;
        }
    if (operate(model.network, setup, model.work, at)) return std::nullopt;
    return std::move(at.branch_amps);
}

/// What limits the current of each step of a way: nearest before it, and on the return the one nearest the
/// load.
void find_guards(const SizingModel& m, LoadPath& path) {
    const auto guards = [&m](PartId p) {
        return m.fuse_index(p) != none ||
               std::holds_alternative<Breaker<>>(m.circuit.parts[static_cast<std::size_t>(p)].law);
    };
    PartId first = none, nearest = none;
    for (const auto& step : path.steps)
        if (first == none && guards(step.part)) first = step.part;
    for (const auto& step : path.steps) {
        path.bare.push_back(step.feed && nearest == none && !guards(step.part));
        path.guards.push_back(nearest == none ? first : nearest);
        if (guards(step.part) && (step.feed || nearest == none)) nearest = step.part;
    }
}

/// Relays stay as they are: a voltage that falls for a moment does not open them at once.
void hold_relays(const ModelState& state, Setup& setup) {
    for (std::size_t p = 0; p < setup.parts.size(); ++p)
        if (auto* relay = std::get_if<Relay<>>(&setup.parts[p])) {
            relay->settings.closed = state.at.relay_closed[p] != 0;
            setup.held[p] = 1;
        }
}

} // namespace

int SizingModel::fuse_index(PartId part) const {
    const auto it = std::find(fuses.begin(), fuses.end(), part);
    return it == fuses.end() ? none : static_cast<int>(it - fuses.begin());
}

SizingModel make_model(const Network& network, const SizingRequest& request) {
    SizingModel m{network, *network.circuit, request, {}, {}, {}, {}, {}, {}};
    const Circuit& c = m.circuit;
    m.wire_of_part.assign(c.parts.size(), none);
    for (std::size_t p = 0; p < c.parts.size(); ++p) {
        const auto id = static_cast<PartId>(p);
        if (const auto* wire = std::get_if<Wire<>>(&c.parts[p].law); wire && wire->settings.sized) {
            m.wire_of_part[p] = static_cast<int>(m.wires.size());
            m.wires.push_back(model_wire(id, *wire, request));
        }
        if (const auto* fuse = std::get_if<Fuse<>>(&c.parts[p].law); fuse && si(fuse->settings.rating) > 0) {
            m.fuses.push_back(id);
            m.ratings.push_back(si(fuse->settings.rating));
        }
    }
    std::vector<int> states = request.states;
    if (states.empty())
        for (int s = 0; s < static_cast<int>(c.states.size()); ++s)
            if (const State& st = c.states[static_cast<std::size_t>(s)];
                st.bridged.empty() && st.removed.empty())
                states.push_back(s);
    for (const int s : states) {
        m.states.push_back({s, set_up(network, s), {}, {}, {}, {}});
        m.states.back().wire_celsius.assign(m.wires.size(), in_celsius(request.ambient));
    }
    return m;
}

void keep_as_drawn(SizingModel& m, std::size_t w) {
    ModelWire& wire = m.wires[w];
    const auto& drawn = std::get<Wire<>>(m.circuit.parts[static_cast<std::size_t>(wire.part)].law).settings;
    wire.chosen = false;
    wire.choices = {choice_of(drawn.size, *find_metal(drawn.metal), wire.metres, m.request)};
}

std::optional<Problem> solve_state(SizingModel& m, ModelState& s, std::span<const int> option) {
    constexpr int rounds = 12;
    constexpr double settled_kelvin = 1e-4;
    const double ambient = in_celsius(m.request.ambient);
    for (double& t : s.wire_celsius) t = ambient + std::clamp(t - ambient, 0.0, 200.0);
    for (int round = 0; round < rounds; ++round) {
        for (std::size_t w = 0; w < m.wires.size(); ++w) {
            const ModelWire& wire = m.wires[w];
            const SizeChoice& c = wire.choices[static_cast<std::size_t>(wire.chosen ? option[w] : 0)];
            auto& law = std::get<Wire<>>(s.setup.parts[static_cast<std::size_t>(wire.part)]);
            const double growth = 1 + c.heat.per_kelvin * (s.wire_celsius[w] - 20);
            // A wire that stays keeps the file's resistance, warmed from the file's temperature.
            const auto& drawn = std::get<Wire<>>(m.circuit.parts[static_cast<std::size_t>(wire.part)].law);
            const double from = 1 + c.heat.per_kelvin * (in_celsius(drawn.settings.temperature) - 20);
            law.resistance =
                wire.chosen ? from_si<Resistance<>>(c.ohms_20 * growth) : drawn.resistance * (growth / from);
        }
        if (auto problem = operate(m.network, s.setup, m.work, s.at)) return problem;
        double moved = 0;
        for (std::size_t w = 0; w < m.wires.size(); ++w) {
            const ModelWire& wire = m.wires[w];
            const SizeChoice& c = wire.choices[static_cast<std::size_t>(wire.chosen ? option[w] : 0)];
            const Current<> amps = from_si<Current<>>(s.at.branch_amps[static_cast<std::size_t>(wire.part)]);
            // One that would run away is held far above every limit, so that it is refused by its heat.
            const double t =
                std::min(ambient + 1000,
                         in_celsius(steady_temperature(c.heat, amps).value_or(celsius(ambient + 1000))));
            moved = std::max(moved, std::abs(t - s.wire_celsius[w]));
            s.wire_celsius[w] = t;
        }
        if (moved <= settled_kelvin) break;
    }
    return std::nullopt;
}

double lost_on(const SizingModel& m, const ModelState& s, const LoadPath& path) {
    double lost = 0;
    for (const auto& step : path.steps) {
        const Part& part = m.circuit.parts[static_cast<std::size_t>(step.part)];
        lost += step.sign * (s.at.volts(m.network, part.from) - s.at.volts(m.network, part.to));
    }
    return lost;
}

void find_paths(SizingModel& m, ModelState& s) {
    s.paths.clear();
    s.running.clear();
    const Posts posts = outermost_posts(m, s);
    if (posts.high == none) return;
    const std::vector<Hop> up = hops_to(m, s, posts.high), down = hops_to(m, s, posts.low);
    const auto add = [&](PartId load, bool coil, PointId a, PointId b, double amps) {
        if (std::abs(amps) < carries) return;
        LoadPath path;
        path.load = load;
        path.coil = coil;
        const PointId top = amps > 0 ? a : b, bottom = amps > 0 ? b : a;
        for (PointId p = top; p != posts.high; p = up[static_cast<std::size_t>(p)].next) {
            const Hop& hop = up[static_cast<std::size_t>(p)];
            if (hop.part == none) return; // hangs on something that is not a source
            path.steps.push_back({hop.part, -hop.sign, true});
        }
        std::reverse(path.steps.begin(), path.steps.end());
        for (PointId p = bottom; p != posts.low; p = down[static_cast<std::size_t>(p)].next) {
            const Hop& hop = down[static_cast<std::size_t>(p)];
            if (hop.part == none) return;
            path.steps.push_back({hop.part, hop.sign, false});
        }
        find_guards(m, path);
        s.paths.push_back(std::move(path));
    };
    for (std::size_t p = 0; p < m.circuit.parts.size(); ++p) {
        const Part& part = m.circuit.parts[p];
        const auto id = static_cast<PartId>(p);
        if (s.setup.link[p] == Link::part && is_load(part.law))
            add(id, false, part.from, part.to, s.at.branch_amps[p]);
        if (const int coil = m.network.coil_branch[p]; coil != none && s.setup.link[p] == Link::part)
            add(id, true, part.coil_from, part.coil_to, s.at.branch_amps[static_cast<std::size_t>(coil)]);
    }
    for (const LoadPath& path : s.paths)
        if (const auto* motor = std::get_if<Motor<>>(&s.setup.parts[static_cast<std::size_t>(path.load)]);
            motor && !motor->settings.locked)
            s.running.push_back(path.load);
}

Fuse<> with_rating(const Fuse<>& drawn, Current<> rating) {
    Fuse<> fuse = drawn;
    const FuseElement was = blade_fuse(drawn.settings.rating), now = blade_fuse(rating);
    fuse.settings.rating = rating;
    if (std::abs(si(drawn.cold - was.cold)) > 1e-9 * si(was.cold)) return fuse; // told in the file
    fuse.cold = now.cold;
    fuse.settings.heating = std::max(0.0, si(now.drop_at_rating) / (si(rating) * si(now.cold)) - 1);
    return fuse;
}

void set_fuse(const SizingModel& m, Setup& setup, PartId part, double rating) {
    const auto p = static_cast<std::size_t>(part);
    setup.parts[p] = with_rating(std::get<Fuse<>>(m.circuit.parts[p].law), from_si<Current<>>(rating));
}

std::optional<std::vector<double>> held_amps(SizingModel& m, const ModelState& s,
                                             std::span<const PartId> motors) {
    Setup setup = s.setup;
    hold_relays(s, setup);
    for (const PartId p : motors)
        std::get<Motor<>>(setup.parts[static_cast<std::size_t>(p)]).settings.locked = true;
    return amps_of(m, setup);
}

std::optional<std::vector<double>> shorted_amps(SizingModel& m, const ModelState& s, const LoadPath& path) {
    Setup setup = s.setup;
    hold_relays(s, setup);
    if (path.coil) {
        std::get<Relay<>>(setup.parts[static_cast<std::size_t>(path.load)]).coil =
            from_si<Resistance<>>(shorted_ohms);
    } else {
        Resistor<> bolt;
        bolt.resistance = from_si<Resistance<>>(shorted_ohms);
        setup.parts[static_cast<std::size_t>(path.load)] = bolt;
    }
    for (AnyPart& part : setup.parts) {
        if (auto* b = std::get_if<Battery<>>(&part)) {
            const auto rest = [b](double charge) {
                return lead_acid_rest_voltage(charge, b->settings.temperature, b->settings.cells);
            };
            b->emf *= std::min(1.0, si(rest(m.request.weakest.charge)) / si(rest(1.0)));
            b->resistance *= m.request.weakest.resistance_factor;
        }
        if (auto* c = std::get_if<Charger<>>(&part)) c->droop *= m.request.weakest.resistance_factor;
    }
    return amps_of(m, setup);
}

} // namespace lostvolts

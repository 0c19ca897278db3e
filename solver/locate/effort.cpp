#include "solver/locate/effort.h"

#include <algorithm>

namespace lostvolts {
namespace {

// Minutes. Common practice, no source.
constexpr double reading = 0.5, // leads on, wait, write it down
    thrown_switch = 0.5,
                 jumper = 3, // current off, relay out, fused jumper in; the same back
    part_out = 2,            // current off, a plug parted or a relay pulled; the same back
    held_rotor = 2,          // a bar or a helper, for the second or two that it may be held
    clamp_round = 1,         // the conductor singled out of the loom
    speed_mark = 2,          // a mark on the shaft, a sight on it
    listening = 0.25,        // does it run, did it click
    source_off = 2;          // its ground lead off and insulated; the same back

std::size_t index(int k) { return static_cast<std::size_t>(k); }

/// How many parts stand in one of the lists and not in the other.
std::vector<PartId> changed(const std::vector<PartId>& a, const std::vector<PartId>& b) {
    std::vector<PartId> all;
    for (const auto& [from, to] : {std::pair{&a, &b}, std::pair{&b, &a}})
        for (const PartId p : *from)
            if (std::find(to->begin(), to->end(), p) == to->end()) all.push_back(p);
    return all;
}

/// A part is got at where it is easiest, at either end; at once where a lead has been.
double minutes_to_part(const Circuit& c, const Standing& at, PartId p) {
    const Part& part = c.parts[index(p)];
    return std::min(minutes_to_reach(c, at, part.from), minutes_to_reach(c, at, part.to));
}

} // namespace

Standing standing_of(const Readings& job) {
    Standing at;
    at.points.assign(job.circuit.points.size(), 0);
    at.clamped.assign(job.circuit.parts.size(), 0);
    at.timed.assign(job.circuit.parts.size(), 0);
    for (const Reading& r : job.readings) take(at, {r.state, r.quantity, r.red, r.black, r.through, r.meter});
    return at;
}

double minutes_to_reach(const Circuit& circuit, const Standing& at, PointId point) {
    return at.points[index(point)] ? 0 : si(circuit.points[index(point)].access) / 60;
}

double minutes_to_switch(const Circuit& circuit, const Standing& at, int state) {
    static const State as_it_is;
    if (state == at.state) return 0;
    const State& now = at.state == none ? as_it_is : circuit.states[index(at.state)];
    const State& then = circuit.states[index(state)];
    double minutes = thrown_switch * static_cast<double>(changed(now.closed, then.closed).size());
    for (const PartId p : changed(now.bridged, then.bridged))
        minutes += jumper + minutes_to_part(circuit, at, p);
    for (const PartId p : changed(now.removed, then.removed))
        minutes += part_out + minutes_to_part(circuit, at, p);
    return minutes;
}

std::vector<PartId> sources_in(const Circuit& circuit, int state) {
    std::vector<PartId> sources;
    for (PartId p = 0; p < static_cast<PartId>(circuit.parts.size()); ++p)
        if (is_source(circuit.parts[index(p)].law) && !holds(circuit.states[index(state)].removed, p))
            sources.push_back(p);
    return sources;
}

double minutes_to_take(const Circuit& circuit, const Standing& at, const Prospect& p) {
    double minutes = p.quantity == Measurand::sound ? listening : reading;
    minutes += minutes_to_switch(circuit, at, p.state);
    if (const bool dead = p.quantity == Measurand::resistance; dead != at.dead)
        for (const PartId source : sources_in(circuit, p.state))
            minutes += source_off + minutes_to_part(circuit, at, source);
    if (!circuit.states[index(p.state)].locked.empty()) minutes += held_rotor;
    if (p.quantity == Measurand::current && !at.clamped[index(p.through)]) minutes += clamp_round;
    if (p.quantity == Measurand::speed && !at.timed[index(p.through)])
        minutes += speed_mark + minutes_to_part(circuit, at, p.through);
    for (const PointId point : {p.red, p.black})
        if (point != none) minutes += minutes_to_reach(circuit, at, point);
    return minutes;
}

void take(Standing& at, const Prospect& p) {
    at.state = p.state;
    at.dead = p.quantity == Measurand::resistance;
    for (const PointId point : {p.red, p.black})
        if (point != none) at.points[index(point)] = 1;
    if (p.quantity == Measurand::current && p.through != none) at.clamped[index(p.through)] = 1;
    if (p.quantity == Measurand::speed && p.through != none) at.timed[index(p.through)] = 1;
}

} // namespace lostvolts

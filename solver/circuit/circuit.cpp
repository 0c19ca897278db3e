#include "solver/circuit/circuit.h"

#include <algorithm>

#include <fmt/format.h>

namespace lostvolts {
namespace {

template <class Named> int find_named(const std::vector<Named>& all, std::string_view name) {
    const auto at = std::find_if(all.begin(), all.end(), [&](const Named& one) { return one.name == name; });
    return at == all.end() ? none : static_cast<int>(at - all.begin());
}

// One overload for each kind of part that is there to carry current without loss. A source or a load has
// none: dropping volts is its work.
struct LimitOf {
    const DropLimits& drops;
    using Answer = std::optional<Voltage<>>;

    Answer operator()(const Connector<>&) const { return drops.connection; }
    Answer operator()(const Splice<>&) const { return drops.connection; }
    Answer operator()(const Wire<>&) const { return drops.wire; }
    Answer operator()(const Switch<>&) const { return drops.contact; }
    Answer operator()(const Relay<>&) const { return drops.contact; }
    Answer operator()(const Ground<>&) const { return drops.ground_path; }
    Answer operator()(const Fuse<>&) const { return drops.fuse; }
    Answer operator()(const Breaker<>&) const { return drops.fuse; }

    Answer operator()(const Battery<>&) const { return std::nullopt; }
    Answer operator()(const Charger<>&) const { return std::nullopt; }
    Answer operator()(const Capacitor<>&) const { return std::nullopt; }
    Answer operator()(const Diode<>&) const { return std::nullopt; }
    Answer operator()(const Electronic<>&) const { return std::nullopt; }
    Answer operator()(const Heater<>&) const { return std::nullopt; }
    Answer operator()(const Lamp<>&) const { return std::nullopt; }
    Answer operator()(const Motor<>&) const { return std::nullopt; }
    Answer operator()(const Resistor<>&) const { return std::nullopt; }
    Answer operator()(const Solenoid<>&) const { return std::nullopt; }
};

} // namespace

PartId find_part(const Circuit& circuit, std::string_view name) { return find_named(circuit.parts, name); }
PointId find_point(const Circuit& circuit, std::string_view name) { return find_named(circuit.points, name); }
int find_state(const Circuit& circuit, std::string_view name) { return find_named(circuit.states, name); }
int find_condition(const Circuit& circuit, std::string_view name) {
    return find_named(circuit.conditions, name);
}

bool holds(const std::vector<PartId>& parts, PartId part) {
    return std::find(parts.begin(), parts.end(), part) != parts.end();
}

const std::string& part_name(const Circuit& circuit, PartId part) {
    return circuit.parts[static_cast<std::size_t>(part)].name;
}
const std::string& point_name(const Circuit& circuit, PointId point) {
    return circuit.points[static_cast<std::size_t>(point)].name;
}

std::string said(const Part& part) { return fmt::format("{} \"{}\"", kind_of(part.law), part.name); }

std::optional<Voltage<>> drop_limit(const Circuit& circuit, const Part& part) {
    return std::visit(LimitOf{circuit.limits.drops}, part.law);
}

} // namespace lostvolts

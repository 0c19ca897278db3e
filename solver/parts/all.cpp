#include "solver/parts/all.h"

#include <cmath>

namespace lostvolts {
namespace {

struct Registered {
    std::string_view kind;
    AnyPart (*read)(Entry&);
};

template <class Part, Part (*Read)(Entry&)> constexpr Registered registered() {
    return {Part::kind, [](Entry& e) -> AnyPart { return Read(e); }};
}

constexpr std::array registry{
    registered<Battery<>, read_battery>(),
    registered<Breaker<>, read_breaker>(),
    registered<Capacitor<>, read_capacitor>(),
    registered<Charger<>, read_charger>(),
    registered<Connector<>, read_connector>(),
    registered<Diode<>, read_diode>(),
    registered<Electronic<>, read_electronic>(),
    registered<Fuse<>, read_fuse>(),
    registered<Ground<>, read_ground>(),
    registered<Heater<>, read_heater>(),
    registered<Lamp<>, read_lamp>(),
    registered<Motor<>, read_motor>(),
    registered<Relay<>, read_relay>(),
    registered<Resistor<>, read_resistor>(),
    registered<Solenoid<>, read_solenoid>(),
    registered<Splice<>, read_splice>(),
    registered<Switch<>, read_switch>(),
    registered<Wire<>, read_wire>(),
};
static_assert(registry.size() == std::variant_size_v<AnyPart>, "a kind lacks its line of registration");

} // namespace

std::vector<std::string> part_kinds() {
    std::vector<std::string> kinds;
    kinds.reserve(registry.size());
    for (const Registered& r : registry) kinds.emplace_back(r.kind);
    return kinds;
}

std::string_view kind_of(const AnyPart& part) {
    return std::visit([](const auto& p) { return std::decay_t<decltype(p)>::kind; }, part);
}

std::optional<AnyPart> read_part(Entry& entry) {
    for (const Registered& r : registry)
        if (r.kind == entry.kind) return r.read(entry);
    return std::nullopt;
}

std::span<const FaultMode> faults_of(const AnyPart& part) {
    return std::visit([](const auto& p) { return faults(p); }, part);
}

void apply_fault(AnyPart& part, FaultKind kind, double size) {
    std::visit([&](auto& p) { apply(p, kind, size); }, part);
}

PartNumbers numbers_of(const AnyPart& part, std::optional<double> told) {
    PartNumbers n;
    std::visit(
        [&](const auto& p) {
            const auto list = [&](const auto& parameter) {
                const double value = si(p.*(parameter.member));
                const double share = parameter.main && told ? *told : parameter.tolerance;
                n.names.push_back(parameter.name);
                n.values.push_back(value);
                n.deviations.push_back(std::abs(value) * share / 2);
            };
            std::apply([&](const auto&... parameter) { (list(parameter), ...); },
                       std::decay_t<decltype(p)>::parameters());
        },
        part);
    return n;
}

} // namespace lostvolts

// How much may be lost, on land and afloat.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/sizing/sizing.h"

namespace lostvolts {
namespace {

// ABYC E-11 and ISO 10133: 3 % for panel feeders, navigation lights, bilge pumps and blowers and electronics,
// 10 % for other circuits [ABYC, ISO10133]; the lists and the 3 % read, ISO's 10 % from memory.
constexpr double critical_share = 0.03;
constexpr double other_share = 0.10;
constexpr double volts_per_cell = 2.0;

} // namespace

Voltage<> nominal_voltage(const Circuit& circuit) {
    int cells = 0;
    double regulated = 0;
    for (const Part& part : circuit.parts) {
        if (const auto* b = std::get_if<Battery<>>(&part.law)) cells = std::max(cells, b->settings.cells);
        if (const auto* c = std::get_if<Charger<>>(&part.law))
            regulated = std::max(regulated, si(c->regulated));
    }
    // A supply without a battery is regulated at about 2.35 V a cell.
    if (cells == 0) cells = std::max(1, static_cast<int>(std::lround(regulated / 2.35)));
    return from_si<Voltage<>>(volts_per_cell * cells);
}

DropRule land_rule(const Circuit& circuit) {
    const DropLimits& drops = circuit.limits.drops;
    return {drops.whole_loop, drops.wire,
            circuit.limits.told ? "the circuit's own limits" : std::string(drops.source)};
}

DropRule marine_rule(const Circuit& circuit, bool critical) {
    const double share = critical ? critical_share : other_share;
    return {
        nominal_voltage(circuit) * share, std::nullopt,
        fmt::format("{:.0f} % of {:g} V (ABYC E-11, ISO 10133)", 100 * share, si(nominal_voltage(circuit)))};
}

std::string_view name_of(Binding binding) {
    switch (binding) {
    case Binding::drop:
        return "drop";
    case Binding::heat:
        return "heat";
    case Binding::protection:
        return "protection";
    case Binding::smallest:
        return "smallest";
    case Binding::kept:
        break;
    }
    return "kept";
}

} // namespace lostvolts

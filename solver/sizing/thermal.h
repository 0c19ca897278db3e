// How warm a wire gets. Its heat I²·r(T) leaves through one conductance per metre, fitted to the published
// table of ampacity in free air of its series (metric or gauge); resistance and temperature are found
// together:
//   steady    I²·r₂₀·(1 + α(T − 20 °C)) = G·(T − T_ambient)
//   in time   C·dT/dt = I²·r(T) − G·(T − T_ambient), straight in T, so an exponential
// A bundle's ampacity factor f leaves f²·G. Holds for: a long wire of one size in still air; G is taken as
// constant, though free air carries more heat the warmer the wire, so the answer errs on the warm side above
// the table's rise.
#pragma once

#include <optional>

#include "solver/reference/heat.h"

namespace lostvolts {

/// A conductor's numbers per metre, at a place in a machine.
struct WireHeat {
    double ohms_per_m_20 = 0;       ///< r₂₀
    double per_kelvin = 0;          ///< α
    double watts_per_m_kelvin = 0;  ///< G, the bundle's factor in it
    double joules_per_m_kelvin = 0; ///< C of the metal; the insulation's own is left out (errs warm)
    double ambient_celsius = 25;
};

/// Of a size of copper (or another metal, whose greater resistance counts) in a bundle of loaded wires.
/// Between the table's sizes, G goes straight in log–log; outside them by the end slope.
WireHeat wire_heat(const WireSize& size, const Metal& metal, Temperature<> ambient, int bundle);

/// Steady temperature at a current; nothing when the wire runs away (resistance grows faster than cooling).
std::optional<Temperature<>> steady_temperature(const WireHeat& wire, Current<> current);
/// Temperature after a time at a current, from `start`.
Temperature<> temperature_after(const WireHeat& wire, Current<> current, Temperature<> start, Time<> time);
/// The steady current at which a wire reaches a temperature; 0 when its surroundings are as warm.
Current<> ampacity(const WireHeat& wire, Temperature<> limit);

} // namespace lostvolts

// Published figures on the heat of conductors: what insulation stands, how much current a single wire in free
// air carries, how a bundle reduces it, and what a short circuit may let through.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "solver/reference/tables.h"

namespace lostvolts {

/// Insulation by the conductor temperature that it stands for its life, and for a short circuit.
struct InsulationClass {
    std::string_view name;       ///< "PVC 70", "class A 85"
    Temperature<> limit;         ///< steady
    Temperature<> short_circuit; ///< at the end of a short circuit of at most 5 s
    std::string_view source;
};
std::span<const InsulationClass> insulation_classes();
/// The class of this steady temperature, to half a kelvin; nullptr when none is listed.
const InsulationClass* find_insulation(Temperature<> limit);

/// One row of a table of ampacity: a single flexible copper conductor, free in air.
struct AmpacityRow {
    double area_mm2;
    double amps;
};
/// A published table, and the temperatures that it holds for.
struct AmpacityTable {
    std::span<const AmpacityRow> rows; ///< thinnest first
    double ambient_celsius, conductor_celsius;
    std::string_view source;
};
AmpacityTable metric_ampacity(); ///< DIN VDE 0298-4:2023-06 table 11
AmpacityTable
gauge_ampacity(); ///< ABYC E-11, outside engine spaces: up to a fifth below the metric one's law

/// What is left of a single wire's ampacity among this many loaded wires in one bundle (ABYC E-11, from
/// memory).
double bundle_factor(int loaded_wires);

/// k of the adiabatic rule I²t = k²S², A·√s/mm², between two conductor temperatures: K·√ln((β+θ_f)/(β+θ_i)),
/// K = 226, β = 234.5 for copper (IEC 60949). Holds for at most 5 s. Nothing for a metal without a row, or a
/// conductor that starts above its end.
std::optional<double> adiabatic_k(std::string_view metal, Temperature<> initial, Temperature<> final);

/// Heat that a metal takes up, J/(m³·K) (IEC 60949). Nothing for a metal without a row.
std::optional<double> volumetric_heat(std::string_view metal);

/// Insulation of one metre of thin-wall wire, estimated from wall thickness and density (low confidence).
Mass<> insulation_mass_per_metre(Area<> conductor);

/// What is left of a blade fuse's rating at an ambient: 1 at 25 °C (makers' curves, from memory).
double fuse_ambient_factor(Temperature<> ambient);

/// The share of a fuse's rating that may load it in steady run (common practice).
inline constexpr double steady_fuse_share = 0.75;

} // namespace lostvolts

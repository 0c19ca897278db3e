// Published tables, each row with its source. Numbers from outside stand here once; parts, sizing and
// messages ask for them by name. The list of sources is SOURCES.md in this folder.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "solver/units/gauge.h" // gauge_diameter, gauge_area
#include "solver/units/quantity.h"
#include "solver/units/text.h"

namespace lostvolts {

/// A conductor metal at 20 °C: R(T) = R₂₀·(1 + α(T − 20 °C)).
struct Metal {
    std::string_view name; ///< "copper", "aluminium", "steel"
    Resistivity<> resistivity;
    TemperatureCoefficient<> coefficient;
    double density_kg_per_m3;
    std::string_view source;
};

std::span<const Metal> metals();
const Metal* find_metal(std::string_view name); ///< nullptr when unknown

/// Resistance per metre at 20 °C of a copper conductor as bought, and where the figure is from: a metric size
/// of the flexible-conductor table (IEC 60228 class 5), a gauge by the diameter formula (ASTM B258) and the
/// metal's resistivity; a metric area that the table doesn't list, and every other metal, by ρ/A.
struct ConductorResistance {
    ResistancePerLength<> at_20_degC;
    std::string_view source;
    bool from_table; ///< false: ρ/A, the area being the metric size's or the gauge formula's
};
ConductorResistance conductor_resistance(const WireSize& size, const Metal& metal);

/// Metric sizes sold, mm² (IEC 60228), and gauges sold, smallest wire first: even ones, and from 2 AWG on
/// each one.
std::span<const double> metric_sizes_mm2();
std::span<const int> gauge_sizes();

/// A blade fuse of this rating: cold resistance, and voltage across it at its rating (maker data, from
/// memory). Between ratings interpolated in log–log; outside them extrapolated by the end slope.
struct FuseElement {
    Resistance<> cold;
    Voltage<> drop_at_rating;
    std::string_view source;
};
FuseElement blade_fuse(Current<> rating);

/// Operating time of a blade fuse (ISO 8820-3, type C and F): shortest and longest at a multiple of its
/// rating. Between rows interpolated in log–log; at or below 1.10 it never opens (both infinite); the longest
/// below 1.35 is infinite. Above 6, where the element melts before it can lose heat, the last row's I²t
/// holds.
struct OperatingTime {
    Time<> shortest;
    Time<> longest;
};
OperatingTime blade_fuse_operating_time(double multiple_of_rating);
std::span<const double> blade_fuse_ratings_amps(); ///< ratings sold

/// Rest voltage of a flooded lead-acid battery by state of charge and temperature. Charge is interpolated
/// between the table's quarters and held at the ends outside 0 … 1. `cells` is 6 for 12 V, 12 for 24 V.
Voltage<> lead_acid_rest_voltage(double charge, Temperature<> temperature, int cells);

/// Internal resistance from cold-cranking amps: (E_full − 7.2 V)/CCA for 6 cells (SAE J537 end voltage), at
/// −18 °C. It contains 30 s of polarisation, so it is an upper estimate; warm, about half (rule of thumb,
/// from memory).
Resistance<> cold_cranking_resistance(Current<> cold_cranking, int cells);

/// Usual limits of voltage drop under load (common practice, no standard number).
struct DropLimits {
    Voltage<> connection;  ///< a connector, splice or terminal
    Voltage<> wire;        ///< a length of wire
    Voltage<> contact;     ///< a switch or relay contact
    Voltage<> ground_path; ///< a ground connection
    Voltage<> fuse;        ///< a fuse or breaker
    Voltage<> whole_loop;  ///< all of them together, source to load and back
    std::string_view source;
};
DropLimits usual_drop_limits();

} // namespace lostvolts

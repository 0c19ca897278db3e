// The lead-acid battery at rest, and its resistance from the cold-cranking test.
#include <algorithm>
#include <cmath>
#include <iterator>

#include "solver/reference/tables.h"

namespace lostvolts {
namespace {

// Flooded, 6 cells, at rest at 26.7 °C (80 degF), 0, 25, 50, 75, 100 % [BAT1], read.
constexpr double rest_volts[] = {11.89, 12.06, 12.24, 12.45, 12.65};
constexpr double table_celsius = 26.7;
constexpr int table_cells = 6;

// How the voltage at rest moves with temperature. BAT1 prints a correction of −0.192 V at −17.8 °C and +0.096
// V at 48.9 °C (4.32 mV/K), to be added to the voltmeter's reading to bring it to 26.7 °C. Taken at its word,
// a cold battery would read 0.19 V higher than a warm one; a lead-acid cell does the contrary. The figure is
// 6 × 0.004 of specific gravity per 10 degF: the hydrometer's correction for denser cold acid, carried over
// to volts by "volts per cell = gravity + 0.84". It has the hydrometer's sign and size, so it is not used
// here. The cell's own coefficient, dE/dT = ΔS/(2F), is about +0.2 mV/K for charged acid (1.25 to 1.28):
// Vinal, Storage Batteries, and Bode, Lead-Acid Batteries, both from memory. So a cold battery rests lower,
// by 54 mV at −18 °C for 6 cells.
constexpr double volts_per_kelvin_and_cell = 0.0002;

// End of the cold-cranking test, SAE J537 [BAT2]: at least 7.2 V for 6 cells after 30 s at −18 °C; read.
constexpr double cranking_end_volts_per_cell = 1.2;
constexpr double cranking_celsius = -18;

} // namespace

Voltage<> lead_acid_rest_voltage(double charge, Temperature<> temperature, int cells) {
    const double quarters = std::clamp(charge, 0.0, 1.0) * (std::size(rest_volts) - 1);
    const auto below = static_cast<std::size_t>(std::min(std::floor(quarters), std::size(rest_volts) - 2.0));
    const double table_volts =
        std::lerp(rest_volts[below], rest_volts[below + 1], quarters - static_cast<double>(below));
    const double warmer = in_celsius(temperature) - table_celsius;
    return from_si<Voltage<>>(cells * (table_volts / table_cells + volts_per_kelvin_and_cell * warmer));
}

Resistance<> cold_cranking_resistance(Current<> cold_cranking, int cells) {
    const Voltage<> full = lead_acid_rest_voltage(1, celsius(cranking_celsius), cells);
    return (full - from_si<Voltage<>>(cells * cranking_end_volts_per_cell)) / cold_cranking;
}

} // namespace lostvolts

// Conductor metals at 20 °C.
#include <algorithm>

#include "solver/reference/tables.h"

namespace lostvolts {
namespace {

// Annealed copper: 58 MS/m exactly and 8.89 g/cm3, IEC 60028:1925 [IEC28]; GNU units carries both [U]
// (computed). Its coefficient 0.00393 /K at constant mass: IEC 60028 [IEC28], from memory.
constexpr double copper_siemens_per_m = 58e6;
constexpr double copper_per_kelvin = 0.00393;
constexpr double copper_kg_per_m3 = 8890;

// Hard-drawn aluminium: 28.264 nohm m, 0.00403 /K, 2.703 g/cm3, IEC 60889:1987 [IEC889], from memory.
constexpr double aluminium_ohm_m = 28.264e-9;
constexpr double aluminium_per_kelvin = 0.00403;
constexpr double aluminium_kg_per_m3 = 2703;

// Steel: 138 nohm m, and resistance proportional to 202 + degC, IEC 60949:1988 [IEC949], from memory. Sheet
// steel of a chassis varies widely, 100 to 200 nohm m. Density 7.85 g/cm3: common engineering value, from
// memory.
constexpr double steel_ohm_m = 138e-9;
constexpr double steel_zero_resistance_below_celsius_zero = 202;
constexpr double steel_kg_per_m3 = 7850;

constexpr Resistivity<> ohm_m(double value) { return from_si<Resistivity<>>(value); }
constexpr TemperatureCoefficient<> per_kelvin(double value) {
    return from_si<TemperatureCoefficient<>>(value);
}

const Metal table[] = {
    {"copper", ohm_m(1 / copper_siemens_per_m), per_kelvin(copper_per_kelvin), copper_kg_per_m3,
     "IEC 60028 (coefficient from memory)"},
    {"aluminium", ohm_m(aluminium_ohm_m), per_kelvin(aluminium_per_kelvin), aluminium_kg_per_m3,
     "IEC 60889 (from memory)"},
    {"steel", ohm_m(steel_ohm_m), per_kelvin(1 / (steel_zero_resistance_below_celsius_zero + 20)),
     steel_kg_per_m3, "IEC 60949 (from memory)"},
};

} // namespace

std::span<const Metal> metals() { return table; }

const Metal* find_metal(std::string_view name) {
    const auto it = std::ranges::find(table, name, &Metal::name);
    return it == std::end(table) ? nullptr : it;
}

} // namespace lostvolts

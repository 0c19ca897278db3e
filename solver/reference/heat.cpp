// Insulation, ampacity, bundles, adiabatic heating.
#include "solver/reference/heat.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace lostvolts {
namespace {

// Steady limits: IEC 60364-4-43 table 43A (PVC 70, cross-linked 90) [IEC364]; ISO 6722 classes A to D
// [ISO6722] and 105 °C boat cable [ABYC]: from memory. End of a short circuit: 160 °C for PVC, 250 °C for
// cross-linked and the like, 220 °C for rubber [IEC364]; carried over by us from the kind of plastic to the
// other classes.
const InsulationClass classes[] = {
    {"PVC 70", celsius(70), celsius(160), "IEC 60364-4-43 (from memory)"},
    {"class A 85", celsius(85), celsius(160), "ISO 6722 class A (from memory)"},
    {"cross-linked 90", celsius(90), celsius(250), "IEC 60364-4-43 (from memory)"},
    {"class B 100", celsius(100), celsius(160), "ISO 6722 class B (from memory)"},
    {"boat cable 105", celsius(105), celsius(160), "ABYC E-11 (from memory)"},
    {"class C 125", celsius(125), celsius(250), "ISO 6722 class C (from memory)"},
    {"class D 150", celsius(150), celsius(250), "ISO 6722 class D (from memory)"},
};

// DIN VDE 0298-4:2023-06 table 11, single core, free in air, PVC 70 °C, 30 °C [VDE], read.
constexpr AmpacityRow ampacities[] = {{0.75, 15}, {1, 19},   {1.5, 24}, {2.5, 32}, {4, 42},
                                      {6, 54},    {10, 73},  {16, 98},  {25, 129}, {35, 158},
                                      {50, 198},  {70, 245}, {95, 292}, {120, 344}};

// ABYC E-11, 105 °C insulation, single conductor outside engine spaces at 30 °C [ABYC], read.
struct GaugeRow {
    int gauge;
    double amps;
};
constexpr GaugeRow gauge_rows[] = {{18, 20}, {16, 25}, {14, 35}, {12, 45}, {10, 60},  {8, 80},   {6, 120},
                                   {4, 160}, {2, 210}, {1, 245}, {0, 285}, {-1, 330}, {-2, 385}, {-3, 445}};

// ABYC E-11, DC conductors in a bundle [ABYC], from memory.
struct BundleRow {
    int up_to;
    double factor;
};
constexpr BundleRow bundles[] = {{1, 1.0}, {3, 0.7}, {6, 0.6}, {24, 0.5}};
constexpr double large_bundle = 0.4;

// IEC 60949:1988 [IEC949]: K and β of copper and aluminium read on summary pages of low authority, steel from
// memory; volumetric heats 3.45, 2.5 and 3.8 MJ/(m³·K), from memory (K = √(Qc(β+20)/ρ₂₀) closes to 0.2 % for
// copper).
struct AdiabaticRow {
    std::string_view metal;
    double k; // A·√s/mm²
    double beta;
    double joules_per_m3_kelvin;
};
constexpr AdiabaticRow adiabatics[] = {
    {"copper", 226, 234.5, 3.45e6}, {"aluminium", 148, 228, 2.5e6}, {"steel", 78, 202, 3.8e6}};

// Rerating of blade fuses about 0.15 % per kelvin from 25 °C: makers' curves, from memory, low confidence.
constexpr double fuse_share_per_kelvin = 0.0015;
constexpr double fuse_reference_celsius = 25;

// Thin-wall road-vehicle wire: nominal wall by conductor area [ISO6722], from memory, low confidence; a
// stranded bundle fills about three quarters of its circle, plasticised PVC weighs 1.35 g/cm³ (both from
// memory).
struct WallRow {
    double up_to_mm2;
    double millimetres;
};
constexpr WallRow walls[] = {{0.5, 0.28}, {2.5, 0.35}, {6, 0.40}, {10, 0.60},
                             {25, 0.65},  {35, 0.80},  {70, 1.0}};
constexpr double thickest_wall_mm = 1.2;
constexpr double strand_fill = 0.75;
constexpr double pvc_kg_per_m3 = 1350;

const AdiabaticRow* find_adiabatic(std::string_view metal) {
    const auto* it = std::ranges::find(adiabatics, metal, &AdiabaticRow::metal);
    return it == std::end(adiabatics) ? nullptr : it;
}

} // namespace

std::span<const InsulationClass> insulation_classes() { return classes; }

const InsulationClass* find_insulation(Temperature<> limit) {
    const auto* it = std::ranges::find_if(
        classes, [limit](const InsulationClass& c) { return std::abs(si(c.limit - limit)) < 0.5; });
    return it == std::end(classes) ? nullptr : it;
}

AmpacityTable metric_ampacity() {
    return {ampacities, 30, 70, "DIN VDE 0298-4 table 11, single core free in air"};
}

AmpacityTable gauge_ampacity() {
    static const auto rows = [] {
        std::array<AmpacityRow, std::size(gauge_rows)> all{};
        for (std::size_t k = 0; k < all.size(); ++k)
            all[k] = {si(gauge_area(gauge_rows[k].gauge)) * 1e6, gauge_rows[k].amps};
        return all;
    }();
    return {rows, 30, 105, "ABYC E-11, 105 degC, single conductor outside engine spaces"};
}

double bundle_factor(int loaded_wires) {
    for (const BundleRow& row : bundles)
        if (loaded_wires <= row.up_to) return row.factor;
    return large_bundle;
}

std::optional<double> adiabatic_k(std::string_view metal, Temperature<> initial, Temperature<> final) {
    const AdiabaticRow* row = find_adiabatic(metal);
    if (!row || initial >= final || in_celsius(initial) <= -row->beta) return std::nullopt;
    return row->k * std::sqrt(std::log((row->beta + in_celsius(final)) / (row->beta + in_celsius(initial))));
}

std::optional<double> volumetric_heat(std::string_view metal) {
    const AdiabaticRow* row = find_adiabatic(metal);
    return row ? std::optional(row->joules_per_m3_kelvin) : std::nullopt;
}

Mass<> insulation_mass_per_metre(Area<> conductor) {
    constexpr double pi = 3.14159265358979323846;
    const double mm2 = si(conductor) * 1e6;
    double wall = thickest_wall_mm;
    for (const WallRow& row : walls)
        if (mm2 <= row.up_to_mm2 * (1 + 1e-9)) {
            wall = row.millimetres;
            break;
        }
    const double diameter = 2 * std::sqrt(mm2 / strand_fill / pi);
    return from_si<Mass<>>(pi * (diameter + wall) * wall * 1e-6 * pvc_kg_per_m3);
}

double fuse_ambient_factor(Temperature<> ambient) {
    return std::max(0.1, 1 - fuse_share_per_kelvin * (in_celsius(ambient) - fuse_reference_celsius));
}

} // namespace lostvolts

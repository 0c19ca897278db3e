// Resistance per metre of conductors as bought, and the sizes sold.
#include <algorithm>
#include <cmath>

#include "solver/reference/tables.h"

namespace lostvolts {
namespace {

// Flexible (class 5) plain copper conductor, greatest resistance at 20 °C: IEC 60228:2004 table 3 [IEC228],
// read at three stored pages that agree.
constexpr std::string_view flexible_source = "IEC 60228 class 5, plain copper";
constexpr double flexible_mm2[] = {0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120};
constexpr double flexible_ohm_per_km[] = {39.0, 26.0,  19.5,  13.3,  7.98,  4.95,  3.30, 1.91,
                                          1.21, 0.780, 0.554, 0.386, 0.272, 0.206, 0.161};
static_assert(std::size(flexible_mm2) == std::size(flexible_ohm_per_km));

// Gauges that marine and vehicle tables list [J1128, ABYC], read; 22 and 20 AWG from memory.
constexpr int gauges[] = {22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3};

constexpr double same_area = 1e-9; // relative; "2.5 mm2" and 2.5e-6 m2 are the same size

} // namespace

ConductorResistance conductor_resistance(const WireSize& size, const Metal& metal) {
    const auto by_resistivity = [&metal](Area<> area, std::string_view source) {
        return ConductorResistance{metal.resistivity / area, source, false};
    };
    if (size.gauge)
        return by_resistivity(gauge_area(*size.gauge), "ASTM B258 diameter, the metal's resistivity");
    const double mm2 = si(size.area) * 1e6;
    const auto row = std::ranges::find_if(
        flexible_mm2, [mm2](double listed) { return std::abs(listed - mm2) <= same_area * listed; });
    if (metal.name == "copper" && row != std::end(flexible_mm2)) {
        const double ohm_per_km = flexible_ohm_per_km[row - std::begin(flexible_mm2)];
        return {from_si<ResistancePerLength<>>(ohm_per_km / 1000), flexible_source, true};
    }
    return by_resistivity(size.area, "area, the metal's resistivity");
}

std::span<const double> metric_sizes_mm2() { return flexible_mm2; }
std::span<const int> gauge_sizes() { return gauges; }

} // namespace lostvolts

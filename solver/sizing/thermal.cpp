#include "solver/sizing/thermal.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "solver/reference/loglog.h"

namespace lostvolts {
namespace {

struct ConductanceRow {
    double area_mm2;
    double watts_per_m_kelvin;
};

/// G of each row of a table: I²·r over the table's rise, r of the size as this house has it.
std::vector<ConductanceRow> fit_conductance(const AmpacityTable& table, bool gauge) {
    const Metal& copper = *find_metal("copper");
    const double rise = table.conductor_celsius - table.ambient_celsius;
    const double growth = 1 + si(copper.coefficient) * (table.conductor_celsius - 20);
    std::vector<ConductanceRow> rows;
    for (const AmpacityRow& row : table.rows) {
        const Area<> area = from_si<Area<>>(row.area_mm2 / 1e6);
        const double ohms_per_m =
            gauge ? si(copper.resistivity / area) : si(conductor_resistance({area, {}}, copper).at_20_degC);
        rows.push_back({row.area_mm2, row.amps * row.amps * ohms_per_m * growth / rise});
    }
    return rows;
}

/// A gauge by the gauges' table, an area in mm² by the metric one.
double free_air_conductance(const WireSize& size) {
    static const std::vector<ConductanceRow> metric = fit_conductance(metric_ampacity(), false),
                                             gauge = fit_conductance(gauge_ampacity(), true);
    return log_log(std::span<const ConductanceRow>(size.gauge ? gauge : metric), &ConductanceRow::area_mm2,
                   &ConductanceRow::watts_per_m_kelvin, si(size.area) * 1e6);
}

/// dT/dt = (heat + slope·(T − ambient))/C.
struct Line {
    double heat;  // W/m at ambient
    double slope; // W/(m·K)
};

Line line_at(const WireHeat& w, double amps) {
    const double cold = amps * amps * w.ohms_per_m_20;
    return {cold * (1 + w.per_kelvin * (w.ambient_celsius - 20)), cold * w.per_kelvin - w.watts_per_m_kelvin};
}

} // namespace

WireHeat wire_heat(const WireSize& size, const Metal& metal, Temperature<> ambient, int bundle) {
    const double area_m2 = si(size.area), factor = bundle_factor(bundle);
    WireHeat w;
    w.ohms_per_m_20 = si(conductor_resistance(size, metal).at_20_degC);
    w.per_kelvin = si(metal.coefficient);
    w.watts_per_m_kelvin = free_air_conductance(size) * factor * factor;
    w.joules_per_m_kelvin = volumetric_heat(metal.name).value_or(*volumetric_heat("aluminium")) * area_m2;
    w.ambient_celsius = in_celsius(ambient);
    return w;
}

std::optional<Temperature<>> steady_temperature(const WireHeat& wire, Current<> current) {
    const Line line = line_at(wire, si(current));
    if (line.slope >= 0) return std::nullopt;
    return celsius(wire.ambient_celsius - line.heat / line.slope);
}

Temperature<> temperature_after(const WireHeat& wire, Current<> current, Temperature<> start, Time<> time) {
    const Line line = line_at(wire, si(current));
    const double rise = in_celsius(start) - wire.ambient_celsius;
    const double x = line.slope * si(time) / wire.joules_per_m_kelvin;
    const double reach = std::abs(x) < 1e-12 ? 1 : std::expm1(x) / x; // of heat·time/C
    return celsius(wire.ambient_celsius + rise * std::exp(x) +
                   line.heat * si(time) / wire.joules_per_m_kelvin * reach);
}

Current<> ampacity(const WireHeat& wire, Temperature<> limit) {
    const double rise = in_celsius(limit) - wire.ambient_celsius;
    if (rise <= 0) return {};
    const double ohms_per_m = wire.ohms_per_m_20 * (1 + wire.per_kelvin * (in_celsius(limit) - 20));
    return from_si<Current<>>(std::sqrt(wire.watts_per_m_kelvin * rise / ohms_per_m));
}

} // namespace lostvolts

#include <doctest/doctest.h>

#include "solver/units/kinds.h"
#include "tests/units/gnu_units.h"

using namespace lostvolts;

namespace {

struct Conversion {
    Kind kind;
    const char* text;
    const char* expression; // the same for GNU units
    const char* si_unit;
    double pinned;
};

// Pinned values: `units -t -d 15`, GNU units 2.22, computed.
const Conversion conversions[] = {
    {Kind::length, "1 ft", "ft", "m", 0.3048},
    {Kind::length, "1 in", "in", "m", 0.0254},
    {Kind::length, "1 yd", "yd", "m", 0.9144},
    {Kind::length, "7 feet", "7 ft", "m", 2.1336},
    {Kind::area, "1 cmil", "circularmil", "m^2", 5.06707479097498e-10},
    {Kind::area, "250 kcmil", "250 kcmil", "m^2", 0.000126676869774374},
    {Kind::area, "250 MCM", "250 kcmil", "m^2", 0.000126676869774374},
    {Kind::mass, "1 lb", "lb", "kg", 0.45359237},
    {Kind::mass, "1 oz", "oz", "kg", 0.028349523125},
    {Kind::torque, "1 lbf ft", "lbf ft", "N m", 1.3558179483314},
    {Kind::torque, "1 ozf in", "lbf in/16", "N m", 0.00706155181422605},
    {Kind::speed, "1 rpm", "rpm", "radian/s", 0.10471975511966},
    {Kind::speed, "1 rev/s", "rev/s", "radian/s", 6.28318530717959},
    {Kind::speed, "1 deg/s", "degree/s", "radian/s", 0.0174532925199433},
    {Kind::charge, "1 Ah", "A hour", "C", 3600},
    {Kind::energy, "1 Wh", "W hour", "J", 3600},
    {Kind::time, "1 h", "hour", "s", 3600},
    {Kind::time, "1 min", "min", "s", 60},
    {Kind::temperature, "77 degF", "tempF(77)", "K", 298.15},
    {Kind::temperature, "0 degF", "tempF(0)", "K", 255.372222222222},
    {Kind::temperature, "100 degC", "tempC(100)", "K", 373.15},
    {Kind::motor_constant, "1 V/krpm", "V/(1000 rpm)", "V s", 0.00954929658551372},
    {Kind::motor_constant, "1 ozf in/A", "lbf in/(16 A)", "V s", 0.00706155181422605},
    {Kind::inertia, "1 g cm2", "g cm^2", "kg m^2", 1e-07},
    {Kind::viscous_drag, "1 N m/rpm", "N m/rpm", "N m s", 9.54929658551372},
    {Kind::resistance_per_length, "1 ohm/ft", "ohm/ft", "ohm/m", 3.28083989501312},
    {Kind::resistivity, "1 ohm mm2/m", "ohm mm^2/m", "ohm m", 1e-06},
};

} // namespace

TEST_CASE("conversion factors are those of the GNU units program") {
    // Expected: GNU units where it is installed, and its values pinned above in any case.
    // Tolerance: the program gives 15 digits, so half a unit of the last, 5e-15 relative.
    const bool live = gnu_units::present();
    if (!live) MESSAGE("GNU units is not on the PATH: only its pinned values are checked");
    for (const Conversion& c : conversions) {
        INFO(c.text);
        const Parsed<double> parsed = read_si(c.text, c.kind);
        REQUIRE(std::holds_alternative<double>(parsed));
        const double ours = std::get<double>(parsed);
        CHECK(ours == doctest::Approx(c.pinned).epsilon(5e-15));
        if (!live) continue;
        const auto theirs = gnu_units::convert(c.expression, c.si_unit);
        REQUIRE(theirs);
        CHECK(ours == doctest::Approx(*theirs).epsilon(5e-15));
    }
}

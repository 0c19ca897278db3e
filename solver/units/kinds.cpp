#include "solver/units/kinds.h"

#include <numbers>

namespace lostvolts {

const KindInfo& info(Kind kind) { return kinds()[static_cast<std::size_t>(kind)]; }

// In the order of Kind. Per kind: name, example, usual unit, dimension (m, kg, s, A, K, rad) and the radians
// people write for it; the decimal units of writing; the others; more that is read.
// clang-format off
const std::vector<KindInfo>& kinds() {
    static const std::vector<KindInfo> table{
        {Kind::voltage, "a voltage", "12.6 V", "V", {2, 1, -3, -1, 0, 0}, 0, 0,
         {{"nV", "nV", -9}, {"uV", "µV", -6}, {"mV", "mV", -3}, {"V", "V", 0}, {"kV", "kV", 3}},
         {}, {"volt", "volts", "millivolts"}},
        {Kind::current, "a current", "9 A", "A", {0, 0, 0, 1, 0, 0}, 0, 0,
         {{"nA", "nA", -9}, {"uA", "µA", -6}, {"mA", "mA", -3}, {"A", "A", 0}, {"kA", "kA", 3}},
         {}, {"amp", "amps", "ampere", "amperes", "milliamps"}},
        {Kind::resistance, "a resistance", "250 mohm", "ohm", {2, 1, -3, -2, 0, 0}, 0, 0,
         {{"uohm", "µΩ", -6}, {"mohm", "mΩ", -3}, {"ohm", "Ω", 0}, {"kohm", "kΩ", 3}, {"Mohm", "MΩ", 6},
          {"Gohm", "GΩ", 9}},
         {}, {"ohms", "mohms", "milliohm", "milliohms", "megohm", "Ω", "mΩ"}},
        {Kind::conductance, "a conductance", "4 S", "S", {-2, -1, 3, 2, 0, 0}, 0, 0,
         {{"nS", "nS", -9}, {"uS", "µS", -6}, {"mS", "mS", -3}, {"S", "S", 0}, {"kS", "kS", 3}, {"MS", "MS", 6}},
         {}, {"1/ohm"}},
        {Kind::power, "a power", "55 W", "W", {2, 1, -3, 0, 0, 0}, 0, 0,
         {{"nW", "nW", -9}, {"uW", "µW", -6}, {"mW", "mW", -3}, {"W", "W", 0}, {"kW", "kW", 3}, {"MW", "MW", 6}},
         {}, {"watt", "watts", "V A"}},
        {Kind::length, "a length", "3.4 m", "m", {1, 0, 0, 0, 0, 0}, 0, 0,
         {{"um", "µm", -6}, {"mm", "mm", -3}, {"m", "m", 0}, {"km", "km", 3}},
         {{"ft", -3, 0.3048}, {"in", -3, 0.0254}}, {"cm", "yd", "inch", "feet", "metre", "metres"}},
        {Kind::area, "an area", "2.5 mm2", "mm2", {2, 0, 0, 0, 0, 0}, 0, 0,
         {{"mm2", "mm²", -6}},
         {{"m2", -3, 1}}, {"cm2", "mm²", "cmil", "kcmil", "AWG"}},
        {Kind::mass, "a mass", "1.2 kg", "kg", {0, 1, 0, 0, 0, 0}, 0, 0,
         {{"mg", "mg", -6}, {"g", "g", -3}, {"kg", "kg", 0}},
         {}, {"lb", "oz"}},
        {Kind::temperature, "a temperature", "25 degC", "degC", {0, 0, 0, 0, 1, 0}, 0, 0,
         {{"K", "K", 0}},
         {{"degC", 2, 1}}, {"degF", "°C", "°F"}},
        {Kind::time, "a time", "25 min", "s", {0, 0, 1, 0, 0, 0}, 0, 0,
         {{"ps", "ps", -12}, {"ns", "ns", -9}, {"us", "µs", -6}, {"ms", "ms", -3}, {"s", "s", 0}},
         {{"min", 0, 60}, {"h", 0, 3600}}, {"sec", "hr", "minute", "minutes", "second", "seconds", "hour", "hours", "µs"}},
        {Kind::speed, "a speed", "3400 rpm", "rpm", {0, 0, -1, 0, 0, 1}, 1, 1,
         {{"rad/s", "rad/s", 0}},
         {{"rpm", 2, std::numbers::pi / 30}}, {"rev/min", "rev/s", "deg/s", "1/min", "krpm"}},
        {Kind::torque, "a torque", "0.2 N m", "N m", {2, 1, -2, 0, 0, -1}, -1, 0,
         {{"uN m", "µN·m", -6}, {"mN m", "mN·m", -3}, {"N m", "N·m", 0}, {"kN m", "kN·m", 3}},
         {}, {"Nm", "mNm", "N cm", "lbf ft", "ozf in"}},
        {Kind::inertia, "an inertia", "4e-5 kg m2", "kg m2", {2, 1, 0, 0, 0, -2}, -2, 0,
         {{"g mm2", "g·mm²", -9}, {"g cm2", "g·cm²", -7}, {"kg m2", "kg·m²", 0}},
         {}, {"kg cm2", "g m2"}},
        {Kind::inductance, "an inductance", "0.5 mH", "mH", {2, 1, -2, -2, 0, 0}, 0, 0,
         {{"nH", "nH", -9}, {"uH", "µH", -6}, {"mH", "mH", -3}, {"H", "H", 0}},
         {}, {"µH"}},
        {Kind::capacitance, "a capacitance", "10 uF", "uF", {-2, -1, 4, 2, 0, 0}, 0, 0,
         {{"pF", "pF", -12}, {"nF", "nF", -9}, {"uF", "µF", -6}, {"mF", "mF", -3}, {"F", "F", 0}},
         {}, {"µF"}},
        {Kind::charge, "a charge", "60 Ah", "Ah", {0, 0, 1, 1, 0, 0}, 0, 0,
         {{"uC", "µC", -6}, {"mC", "mC", -3}, {"C", "C", 0}},
         {{"Ah", 2, 3600}}, {"mAh", "A h", "A s"}},
        {Kind::energy, "an energy", "5 J", "J", {2, 1, -2, 0, 0, 0}, 0, 0,
         {{"uJ", "µJ", -6}, {"mJ", "mJ", -3}, {"J", "J", 0}, {"kJ", "kJ", 3}, {"MJ", "MJ", 6}},
         {{"Wh", -1, 3600}}, {"kWh", "W h", "W s"}},
        {Kind::motor_constant, "a motor constant", "0.025 V s/rad", "V s/rad", {2, 1, -2, -1, 0, -1}, -1, 0,
         {{"uV s/rad", "µV·s/rad", -6}, {"mV s/rad", "mV·s/rad", -3}, {"V s/rad", "V·s/rad", 0}},
         {}, {"V s", "Vs", "Vs/rad", "N m/A", "V/(rad/s)", "V/krpm", "V/rpm"}},
        {Kind::viscous_drag, "a viscous drag", "2e-5 N m s/rad", "N m s/rad", {2, 1, -1, 0, 0, -2}, -2, 0,
         {{"uN m s/rad", "µN·m·s/rad", -6}, {"mN m s/rad", "mN·m·s/rad", -3}, {"N m s/rad", "N·m·s/rad", 0}},
         {}, {"N m s", "Nms", "N m/(rad/s)", "N m/rpm"}},
        {Kind::temperature_coefficient, "a temperature coefficient", "0.00393 1/K", "1/K", {0, 0, 0, 0, -1, 0}, 0, 0,
         {{"1/K", "1/K", 0}},
         {}, {"%/K", "1/degC", "ppm/K"}},
        {Kind::resistance_per_length, "a resistance per length", "7.98 mohm/m", "mohm/m", {1, 1, -3, -2, 0, 0}, 0, 0,
         {{"uohm/m", "µΩ/m", -6}, {"mohm/m", "mΩ/m", -3}, {"ohm/m", "Ω/m", 0}},
         {}, {"ohm/km", "ohm/ft"}},
        {Kind::resistivity, "a resistivity", "17.24 nohm m", "nohm m", {3, 1, -3, -2, 0, 0}, 0, 0,
         {{"nohm m", "nΩ·m", -9}, {"uohm m", "µΩ·m", -6}, {"ohm m", "Ω·m", 0}},
         {}, {"ohm mm2/m", "uohm cm"}},
        {Kind::ratio, "a ratio", "85 %", "%", {0, 0, 0, 0, 0, 0}, 0, 0,
         {{"%", "%", -2}},
         {}, {"ppm"}},
    };
    return table;
}
// clang-format on

} // namespace lostvolts

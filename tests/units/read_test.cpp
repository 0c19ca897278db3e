#include <doctest/doctest.h>

#include <numbers>

#include "solver/units/mistyped.h"
#include "solver/units/text.h"

using namespace lostvolts;

namespace {

constexpr double pi = std::numbers::pi;

/// The SI value of the text, which has to be readable.
template <class Q> double value(const char* text) {
    const Parsed<Q> parsed = read_quantity<Q>(text);
    const auto* error = std::get_if<ValueError>(&parsed);
    INFO(text << (error ? ": " + error->what : ""));
    REQUIRE(!error);
    return si(std::get<Q>(parsed));
}

template <class Q> void same(std::initializer_list<const char*> texts, double expected) {
    for (const char* text : texts) {
        INFO(text);
        CHECK(value<Q>(text) == expected);
    }
}

template <class Q> void near(const char* text, double expected) {
    INFO(text);
    CHECK(value<Q>(text) == doctest::Approx(expected).epsilon(4e-16));
}

} // namespace

TEST_CASE("every value written in DESIGN.md and text.h reads as the double nearest to it") {
    // Expected: SI prefixes; equality to the last bit because a prefix only moves the decimal point.
    CHECK(value<Length<>>("3.4 m") == 3.4);
    CHECK(value<Length<>>("1.6 m") == 1.6);
    CHECK(value<Length<>>("11 ft") == 3.3528); // 0.3048 m exactly
    CHECK(value<Resistance<>>("250 mohm") == 0.25);
    CHECK(value<Resistance<>>("250 mΩ") == 0.25);
    CHECK(value<Resistance<>>("9 mohm") == 0.009);
    CHECK(value<Resistance<>>("3 mohm") == 0.003);
    CHECK(value<Resistance<>>("180 mohm") == 0.18);
    CHECK(value<Resistance<>>("85 ohm") == 85);
    CHECK(value<Resistance<>>("10 Mohm") == 10e6);
    CHECK(value<Area<>>("2.5 mm2") == 2.5e-6);
    CHECK(value<Area<>>("10 mm2") == 10e-6);
    CHECK(value<Area<>>("0.35 mm2") == 0.35e-6);
    CHECK(value<Temperature<>>("85 degC") == 85 + 273.15);
    CHECK(value<Temperature<>>("25 degC") == 25 + 273.15);
    CHECK(value<Charge<>>("12 Ah") == 43200);
    CHECK(value<Speed<>>("3400 rpm") == doctest::Approx(3400 * pi / 30).epsilon(1e-15));
    CHECK(value<Time<>>("25 min") == 1500);
    CHECK(value<Voltage<>>("12.6 V") == 12.6);
    CHECK(value<Voltage<>>("0.1 V") == 0.1);
    CHECK(value<Current<>>("600 A") == 600);
    CHECK(value<Ratio<>>("85 %") == 0.85);
    CHECK(value<Ratio<>>("8 %") == 0.08);
    CHECK(value<MotorConstant<>>("0.025 V s") == 0.025);
}

TEST_CASE("a unit may be spelled in every usual way") {
    // Expected: the SI brochure's symbols, their usual ASCII stand-ins, and nameplate habit (common
    // practice).
    same<Resistance<>>({"0.25 ohm", "0.25 Ω", "0.25 \xE2\x84\xA6", "0.25Ohm", "250mohm", "250 mΩ",
                        "250m\xE2\x84\xA6", "0.25 V/A", "250000 uohm", "250000 µΩ", "250000 μΩ",
                        "0.00025 kohm", "0.25 ohms"},
                       0.25);
    same<Resistance<>>({"1 Mohm", "1 MΩ", "1 megohm", "1000 kohm", "1e6 ohm", "0.001 Gohm"}, 1e6);
    same<Conductance<>>({"4 S", "4 1/ohm", "4 /ohm", "4 A/V", "4000 mS", "4 Ω⁻¹", "4 ohm-1", "4 ohm^-1"}, 4);
    same<Area<>>(
        {"2.5 mm2", "2.5 mm²", "2.5 mm^2", "2.5mm2", "2.5 sq mm", "2.5 sqmm", "0.025 cm2", "2.5e-6 m2"},
        2.5e-6);
    same<Temperature<>>(
        {"25 degC", "25 °C", "25°C", "25 deg C", "25 ° C", "25 ℃", "298.15 K", "77 degF", "77 °F"}, 298.15);
    same<Time<>>({"90 min", "1.5 h", "1.5 hr", "5400 s", "5400 sec", "5400000 ms"}, 5400);
    same<Time<>>({"30 us", "30 µs", "30 μs", "0.03 ms"}, 30e-6);
    same<Torque<>>({"0.2 N m", "0.2 Nm", "0.2 N·m", "0.2 N⋅m", "0.2 N*m", "200 mN m", "200 mNm", "20 N cm",
                    "20 Ncm", "0.2 J/rad"},
                   0.2);
    same<MotorConstant<>>({"0.025 V s", "0.025 Vs", "0.025 V s/rad", "0.025 Vs/rad", "0.025 V·s/rad",
                           "0.025 V/(rad/s)", "25 mV/(rad/s)", "0.025 N m/A", "25 mNm/A", "0.025 Wb",
                           "0.025 V s rad^-1"},
                          0.025);
    same<ViscousDrag<>>({"2e-5 N m s", "2e-5 N m s/rad", "2e-5 N m/(rad/s)", "0.02 mN m s", "2e-5 Nms"},
                        2e-5);
    same<Inertia<>>({"4e-5 kg m2", "400 g cm2", "0.4 kg cm2", "0.04 g m2", "4e-5 kg·m²", "40000 g mm2"},
                    4e-5);
    same<Charge<>>({"1.2 Ah", "1200 mAh", "1.2 A h", "4320 C", "4320 A s", "4320 As"}, 4320);
    same<Energy<>>({"2 Wh", "2 W h", "7200 J", "7.2 kJ", "0.002 kWh", "7200 W s", "7200 N m"}, 7200);
    same<Power<>>({"55 W", "0.055 kW", "55 V A", "55000 mW", "55 J/s"}, 55);
    same<Inductance<>>({"0.5 mH", "500 uH", "500 µH", "0.5 mV s/A"}, 0.5e-3);
    same<Capacitance<>>({"10 uF", "10 µF", "10000 nF", "10 uA s/V"}, 10e-6);
    same<Length<>>({"0.5 m", "50 cm", "5 dm", "500 mm", "0.0005 km", "500000 µm"}, 0.5);
    same<Mass<>>({"1.2 kg", "1200 g", "1200000 mg"}, 1.2);
    same<Voltage<>>({"12 V", "12 volts", "12000 mV", "0.012 kV", "12 W/A", "12e6 uV"}, 12);
    same<Current<>>({"9 A", "9 amps", "9000 mA", "9000000 µA", "9 C/s"}, 9);
    same<Ratio<>>({"85 %", "85%", "0.85", "850000 ppm"}, 0.85);
    same<TemperatureCoefficient<>>({"0.00393 1/K", "0.00393 /K", "0.00393/K", "0.393 %/K", "3930 ppm/K",
                                    "0.00393 1/degC", "0.00393 K-1", "0.00393 K⁻¹"},
                                   0.00393);
    same<ResistancePerLength<>>({"7.98 mohm/m", "7.98 ohm/km", "0.00798 Ω/m"}, 0.00798);
    same<Resistivity<>>({"17.24 nohm m", "0.01724 ohm mm2/m", "1.724 uohm cm", "17.24 nΩ·m"}, 17.24e-9);
}

TEST_CASE("a unit may be called by its name, as it is spoken") {
    // Expected: SI brochure, 9th edition, tables 2, 7 and 8, for names and prefixes; by hand.
    same<Voltage<>>({"0.068 V", "0.068 volt", "68 millivolts", "68 Millivolts", "68000 microvolt"}, 0.068);
    same<Current<>>({"25 A", "25 ampere", "25 Amperes", "25 Amp", "25 AMPS", "25000 milliamps"}, 25);
    same<Resistance<>>({"4 mohm", "4 milliohm", "4 Milliohms", "0.004 ohms", "0.004 OHM", "4 mOhm"}, 0.004);
    same<Resistance<>>({"2 Mohm", "2 megohm", "2 megohms", "2 megaohm", "2000 kilohms", "2000 kiloohm"}, 2e6);
    same<Power<>>({"55 W", "55 watts", "55 Watt", "0.055 kilowatt"}, 55);
    same<Length<>>({"1.6 m", "1.6 metres", "1.6 meter", "160 centimetres", "1600 millimeters"}, 1.6);
    same<Length<>>({"0.3048 m", "1 foot", "12 inches", "12 in"}, 0.3048);
    same<Time<>>({"120 s", "2 minutes", "2 min", "120 seconds"}, 120);
    same<Charge<>>({"1.2 Ah", "1.2 ampere hours", "1.2 amp hour"}, 4320);
    same<ResistancePerLength<>>({"7.98 mohm/m", "7.98 milliohms/metre"}, 0.00798);
    // What has no prefix by its symbol has none by its name: "milliinch" is no minute.
    for (const char* text : {"1 milliinch", "1 kilominute", "1 megmetre", "1 millimetress", "1 centivolt"})
        CHECK_MESSAGE(!std::holds_alternative<Length<>>(read_quantity<Length<>>(text)), text);
    CHECK_FALSE(std::holds_alternative<Time<>>(read_quantity<Time<>>("1 milliinch")));
    CHECK_FALSE(std::holds_alternative<Voltage<>>(read_quantity<Voltage<>>("1 centivolt")));
}

TEST_CASE("a value whose unit is mistyped is known by the unit's letters") {
    // Expected, by hand: a unit's letters in another order; words that stand after numbers in names are none.
    CHECK(value_mistyped("4 mhom") == "4 mohm");
    CHECK(value_mistyped("3400rmp") == "3400 rpm");
    CHECK(value_mistyped("12.6 vlots") == "12.6 volts");
    for (const char* text : {"4 mohm", "12 V", "24 Q", "4 h", "4 left", "2 aft", "2 port", "2 bolt", "1 main",
                             "2 lamp", "3 wait", "4", "mhom", ""})
        CHECK_MESSAGE(!value_mistyped(text), text);
}

TEST_CASE("a turn is 2 pi radians, whatever it is called") {
    // Expected, by hand: 3000 turns a minute are 50 a second, 100 pi radians a second.
    for (const char* text :
         {"3000 rpm", "3000 rev/min", "3000 r/min", "3000 1/min", "3000 /min", "3000 min-1", "3000 min⁻¹",
          "50 rev/s", "3 krpm", "18000 deg/s", "18000 °/s", "3000 RPM"})
        near<Speed<>>(text, 100 * pi);
    near<MotorConstant<>>("2.5 V/krpm", 2.5 / (1000 * pi / 30));
    near<MotorConstant<>>("0.0025 V/rpm", 2.5 / (1000 * pi / 30));
    near<ViscousDrag<>>("0.1 mN m/rpm", 1e-4 / (pi / 30));
    CHECK(value<Speed<>>("100 rad/s") == 100);
}

TEST_CASE("a number may have a sign, an exponent, a bare point, and any blank before its unit") {
    // Expected, by hand.
    same<Voltage<>>({"-1.84 V", "−1.84 V", "-1.84V", "-1.84\u00A0V", "-1.84\u2009V", "  -1.84   V  ",
                     "-184e-2 V", "-0.184E1 V", "-18.4e-1V", "-1.84\tV"},
                    -1.84);
    same<Voltage<>>({"+5 V", "5. V", "5.0V", "005 V", "0.5e1 V", "50e-1 V", "5e0 V", "5e+0 V"}, 5);
    same<Voltage<>>({".5 V", "0.5 V", "500 mV"}, 0.5);
    same<Length<>>({"1e3 m", "1E3 m", "1 km"}, 1000);
    same<Time<>>({"5 min", "300 s"}, 300); // min is a minute, not a milli-inch
    CHECK(value<Voltage<>>("0 V") == 0);
    CHECK(value<Voltage<>>("4.9406564584124654e-324 V") == 5e-324); // the smallest double
    CHECK(value<Voltage<>>("1.7976931348623157e308 V") == 1.7976931348623157e308);
    CHECK(value<Voltage<>>("0e999999999999 V") == 0);
}

TEST_CASE("a temperature in Fahrenheit agrees with Celsius at the fixed points") {
    // Expected: by definition, 32 degF is 0 degC, 212 degF is 100 degC and -40 is the same on both.
    CHECK(value<Temperature<>>("32 degF") == value<Temperature<>>("0 degC"));
    CHECK(value<Temperature<>>("212 degF") == value<Temperature<>>("100 degC"));
    CHECK(value<Temperature<>>("-40 degF") == value<Temperature<>>("-40 degC"));
    CHECK(value<Temperature<>>("-273.15 degC") == 0);
    CHECK(value<Temperature<>>("25 degC") == si(celsius(25)));
}

TEST_CASE("a gauge can be given where an area is wanted") {
    // Expected: 14 AWG is 2.0809077 mm2, GNU units 2.22, circlearea(wiregauge(14)/2), computed.
    CHECK(value<Area<>>("14 AWG") == doctest::Approx(2.0809077e-6).epsilon(1e-8));
    CHECK(value<Area<>>("AWG 14") == value<Area<>>("14 AWG"));
}

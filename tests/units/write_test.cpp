#include <doctest/doctest.h>

#include <limits>

#include "solver/units/text.h"

using namespace lostvolts;

namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

template <class Q> std::string written(double si) { return write_quantity(from_si<Q>(si)); }
template <class Q> std::string shown(double si, int digits = 3) { return show(from_si<Q>(si), digits); }

} // namespace

TEST_CASE("a quantity is written as briefly as it can be, with the prefix people use") {
    // Expected, by hand, from the style of the examples in DESIGN.md.
    CHECK(written<Resistance<>>(0.25) == "250 mohm");
    CHECK(written<Resistance<>>(0.009) == "9 mohm");
    CHECK(written<Resistance<>>(85) == "85 ohm");
    CHECK(written<Resistance<>>(10e6) == "10 Mohm");
    CHECK(written<Voltage<>>(12.6) == "12.6 V");
    CHECK(written<Voltage<>>(-1.84) == "-1.84 V");
    CHECK(written<Voltage<>>(0) == "0 V");
    CHECK(written<Voltage<>>(0.1 + 0.2) == "300.00000000000004 mV");
    CHECK(written<Current<>>(600) == "600 A");
    CHECK(written<Length<>>(1.6) == "1.6 m");
    CHECK(written<Area<>>(2.5e-6) == "2.5 mm2");
    CHECK(written<Area<>>(0) == "0 mm2");
    CHECK(written<Capacitance<>>(10e-6) == "10 uF");
    CHECK(written<Inertia<>>(4e-5) == "400 g cm2");
    CHECK(written<MotorConstant<>>(0.025) == "25 mV s/rad");
    CHECK(written<Ratio<>>(0.85) == "85 %");
    CHECK(written<Voltage<>>(1.5e-13) == "0.00015 nV");
    CHECK(written<Voltage<>>(1.5e-14) == "1.5e-14 V");
    CHECK(written<Voltage<>>(9.5e9) == "9500000 kV");
    CHECK(written<Voltage<>>(9.5e10) == "9.5e10 V");
    CHECK(written<Voltage<>>(1e-300) == "1e-300 V");
    CHECK(written<Voltage<>>(1.5e300) == "1.5e300 V");
}

TEST_CASE("units of the trade are written when they say it as briefly") {
    // Expected, by hand.
    CHECK(write_quantity(celsius(25)) == "25 degC");
    CHECK(write_quantity(celsius(-17.8)) == "-17.8 degC");
    CHECK(written<Temperature<>>(4) == "4 K");
    CHECK(written<Charge<>>(43200) == "12 Ah");
    CHECK(written<Charge<>>(5) == "5 C");
    CHECK(written<Time<>>(1500) == "25 min");
    CHECK(written<Time<>>(90) == "90 s");
    CHECK(written<Time<>>(7200) == "2 h");
    CHECK(written<Time<>>(0.0003) == "300 us");
    CHECK(written<Length<>>(3.3528) == "11 ft");
    CHECK(written<Length<>>(0.00254) == "2.54 mm");
    CHECK(written<Speed<>>(100) == "100 rad/s");
    CHECK(write_quantity(std::get<Speed<>>(read_quantity<Speed<>>("3400 rpm"))) == "3400 rpm");
}

TEST_CASE("tables show a given number of digits and the prefix that suits") {
    // Expected: the examples of text.h, and by hand.
    CHECK(shown<Voltage<>>(1.84) == "1.84 V");
    CHECK(shown<Resistance<>>(0.25) == "250 mΩ");
    CHECK(shown<Current<>>(9.05) == "9.05 A");
    CHECK(show(celsius(25)) == "25.0 °C");
    CHECK(shown<Speed<>>(356.04716740684323) == "3400 rpm");
    CHECK(shown<Voltage<>>(-0.0321) == "-32.1 mV");
    CHECK(shown<Power<>>(1234) == "1.23 kW");
    CHECK(shown<Power<>>(1234, 4) == "1.234 kW");
    CHECK(shown<Power<>>(1234, 1) == "1 kW");
    CHECK(shown<Capacitance<>>(10e-6) == "10.0 µF");
    CHECK(shown<Torque<>>(0.2) == "200 mN·m");
    CHECK(shown<Charge<>>(43200) == "12.0 Ah");
    CHECK(shown<Ratio<>>(0.905) == "90.5 %");
    CHECK(shown<Area<>>(2.5e-6) == "2.50 mm²");
    CHECK(shown<Speed<>>(10000) == "95500 rpm");
}

TEST_CASE("rounding up to a thousand moves on to the next prefix") {
    // Expected, by hand: 999.7 mΩ has 1000 at three digits.
    CHECK(shown<Resistance<>>(0.9997) == "1.00 Ω");
    CHECK(shown<Resistance<>>(0.9994) == "999 mΩ");
    CHECK(shown<Current<>>(9.996) == "10.0 A");
}

TEST_CASE("temperatures show one decimal, and none from 100 degrees") {
    // Expected, by hand.
    CHECK(show(celsius(5)) == "5.0 °C");
    CHECK(show(celsius(0)) == "0.0 °C");
    CHECK(show(celsius(-0.01)) == "0.0 °C");
    CHECK(show(celsius(-40)) == "-40.0 °C");
    CHECK(show(celsius(105)) == "105 °C");
}

TEST_CASE("times from two minutes on show in minutes and hours") {
    // Expected, by hand.
    CHECK(shown<Time<>>(0.15) == "150 ms");
    CHECK(shown<Time<>>(119) == "119 s");
    CHECK(shown<Time<>>(600) == "10.0 min");
    CHECK(shown<Time<>>(360000) == "100 h");
}

TEST_CASE("what is nothing, endless or no number shows as such") {
    // Expected: as text.h says.
    CHECK(shown<Voltage<>>(0) == "0 V");
    CHECK(shown<Voltage<>>(1e-13) == "0 V");
    CHECK(shown<Current<>>(-1e-15) == "0 A");
    CHECK(shown<Time<>>(infinite) == "∞ s");
    CHECK(shown<Resistance<>>(-infinite) == "-∞ Ω");
    CHECK(shown<Temperature<>>(infinite) == "∞ K");
    CHECK(shown<Voltage<>>(std::numeric_limits<double>::quiet_NaN()) == "—");
}

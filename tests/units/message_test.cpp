#include <doctest/doctest.h>

#include "solver/units/text.h"

using namespace lostvolts;

namespace {

template <class T> ValueError error_in(const Parsed<T>& parsed) {
    const auto* error = std::get_if<ValueError>(&parsed);
    REQUIRE(error);
    return *error;
}

/// The error of reading `text` as a Q is exactly this.
template <class Q> void says(const char* text, std::size_t at, const char* what, const char* write) {
    INFO(text);
    const ValueError error = error_in(read_quantity<Q>(text));
    CHECK(error.at == at);
    CHECK(error.what == what);
    CHECK(error.write == write);
}

void accuracy_says(const char* text, std::size_t at, const char* what) {
    INFO(text);
    const ValueError error = error_in(read_accuracy(text));
    CHECK(error.at == at);
    CHECK(error.what == what);
    CHECK(error.write == "write a share, counts or both, for example \"0.5 % + 2 counts\"");
}

void size_says(const char* text, std::size_t at, const char* what, const char* write) {
    INFO(text);
    const ValueError error = error_in(read_wire_size(text));
    CHECK(error.at == at);
    CHECK(error.what == what);
    CHECK(error.write == write);
}

constexpr const char* number_and_unit = "write a number and its unit, for example \"250 mohm\"";
constexpr const char* a_resistance = "write a resistance, for example \"250 mohm\"";
constexpr const char* an_area = "write an area, for example \"2.5 mm2\"";

} // namespace

// Every expectation below is the message as we want a person to read it, after the name of the value:
// "resistance has no unit". Positions are counted by hand, in code points from 0.

TEST_CASE("a bare number is told to carry its unit") {
    // Expected: HOUSE_STYLE section 4 for the area, the others alike.
    says<Area<>>("0.35", 4, "has no unit", "write the unit in the value, for example \"0.35 mm2\"");
    says<Resistance<>>(" 250 ", 4, "has no unit", "write the unit in the value, for example \"250 ohm\"");
    says<Temperature<>>("−25", 3, "has no unit", "write the unit in the value, for example \"−25 degC\"");
    says<Speed<>>("3400", 4, "has no unit", "write the unit in the value, for example \"3400 rpm\"");
}

TEST_CASE("an unknown unit is told the nearest one, or an example when none is near") {
    // Expected: see the top of this list.
    says<Resistance<>>("250 mohn", 4, "has an unknown unit \"mohn\"", "did you mean \"mohm\"?");
    says<Resistance<>>("250 MOHM", 4, "has an unknown unit \"MOHM\"", "did you mean \"Mohm\"?");
    says<Voltage<>>("12 v", 3, "has an unknown unit \"v\"", "did you mean \"V\"?");
    says<Speed<>>("3400 rmp", 5, "has an unknown unit \"rmp\"", "did you mean \"rpm\"?");
    says<Resistance<>>("5 parsecs", 2, "has an unknown unit \"parsecs\"", a_resistance);
    says<Resistance<>>("5 ohm long", 6, "has an unknown unit \"long\"", a_resistance);
    says<Resistance<>>("5 日本", 2, "has an unknown unit \"日本\"", a_resistance);
}

TEST_CASE("a unit as long as a book is refused, and takes no more room for it") {
    // Expected, by hand: "sq" squares one unit, and no unit of anything has 33 factors.
    says<Area<>>("4 sq sq m", 5, "has an unknown unit \"sq\"", an_area);
    std::string square = "4 ", volts = "4 V";
    for (int k = 0; k < 300'000; ++k) square += "sq ";
    for (int k = 0; k < 32; ++k) volts += " V";
    says<Area<>>((square + "m").c_str(), 5, "has an unknown unit \"sq\"", an_area);
    says<Voltage<>>(volts.c_str(), 66, "has a unit that can't be read at \"V\"",
                    "write a voltage, for example \"12.6 V\"");
}

TEST_CASE("a value of another quantity is named for what it is") {
    // Expected: see the top of this list.
    says<Resistance<>>("3 m", 2, "is a length; a resistance is wanted", a_resistance);
    says<Resistance<>>("4 S", 2, "is a conductance; a resistance is wanted", a_resistance);
    says<Conductance<>>("4 ohm", 2, "is a resistance; a conductance is wanted",
                        "write a conductance, for example \"4 S\"");
    says<Length<>>("5 mm2", 2, "is an area; a length is wanted", "write a length, for example \"3.4 m\"");
    says<Torque<>>("5 J", 2, "is an energy; a torque is wanted", "write a torque, for example \"0.2 N m\"");
    says<Voltage<>>("85 %", 3, "is a ratio; a voltage is wanted", "write a voltage, for example \"12.6 V\"");
    says<Ratio<>>("2 V", 2, "is a voltage; a ratio is wanted", "write a ratio, for example \"85 %\"");
    says<Charge<>>("60 A", 3, "is a current; a charge is wanted", "write a charge, for example \"60 Ah\"");
    says<Voltage<>>("5 kg m", 2, "has a unit that is not of a voltage",
                    "write a voltage, for example \"12.6 V\"");
}

TEST_CASE("C and F are told to be degrees where a temperature is wanted") {
    // Expected: see the top of this list.
    says<Temperature<>>("25 C", 3, "is in coulombs; a temperature is wanted", "write \"25 degC\"");
    says<Temperature<>>("77 F", 3, "is in farads; a temperature is wanted", "write \"77 degF\"");
    says<Temperature<>>("-300 degC", 0, "is below absolute zero, -273.15 degC",
                        "write a temperature, for example \"25 degC\"");
}

TEST_CASE("a unit with two readings is refused") {
    // Expected: see the top of this list.
    says<Speed<>>("10 1/s", 3, "could be turns or radians", "write rpm or rad/s, for example \"3400 rpm\"");
    says<MotorConstant<>>("1 V/rad s", 8, "has a unit that can be read in two ways",
                          "put what is divided by in brackets, for example \"V/(rad/s)\"");
}

TEST_CASE("commas in numbers are explained") {
    // Expected: see the top of this list.
    says<Voltage<>>("2,5 V", 1, "has a decimal comma", "write 2.5 V, with a point");
    says<Voltage<>>("-12,65V", 3, "has a decimal comma", "write -12.65 V, with a point");
    says<Voltage<>>("1,000 V", 1, "has a comma in its number",
                    "write 1.000 V with a point, or 1000 V without the comma");
    says<Voltage<>>("1,000.5 V", 1, "has a comma in its number", "write 1000.5 V, without the comma");
    says<Voltage<>>("1,000,000 V", 1, "has a comma in its number", "write 1000000 V, without the comma");
}

TEST_CASE("what is no number is refused with an example") {
    // Expected: see the top of this list.
    says<Resistance<>>("", 0, "is empty", number_and_unit);
    says<Resistance<>>("   ", 0, "is empty", number_and_unit);
    says<Resistance<>>("ohm", 0, "starts with \"ohm\", which is not a number", number_and_unit);
    says<Resistance<>>(" about 5 ohm", 1, "starts with \"about\", which is not a number", number_and_unit);
    says<Resistance<>>("- 5 ohm", 0, "starts with \"-\", which is not a number", number_and_unit);
    says<Resistance<>>(". ohm", 0, "starts with \".\", which is not a number", number_and_unit);
    says<Resistance<>>("nan ohm", 0, "is \"nan\", which is not a number that can be measured",
                       number_and_unit);
    says<Resistance<>>("-inf", 0, "is \"-inf\", which is not a number that can be measured", number_and_unit);
    says<Resistance<>>("Infinity ohm", 0, "is \"Infinity\", which is not a number that can be measured",
                       number_and_unit);
}

TEST_CASE("numbers beyond a double are refused rather than rounded to infinity or nothing") {
    // Expected: see the top of this list.
    says<Voltage<>>("1e400 V", 0, "is larger than any number this program can hold",
                    "write a smaller number");
    says<Voltage<>>("-1e308 kV", 0, "is larger than any number this program can hold",
                    "write a smaller number");
    says<Voltage<>>("1e99999999999999999999 V", 0, "is larger than any number this program can hold",
                    "write a smaller number");
    says<Voltage<>>("1e-400 V", 0, "is too close to zero to be told from it", "write 0");
    says<Speed<>>("1.79e308 krpm", 0, "is larger than any number this program can hold",
                  "write a smaller number");
}

TEST_CASE("text after the unit is pointed at") {
    // Expected: see the top of this list.
    says<Resistance<>>("5 ohm 3", 6, "goes on after its unit with \"3\"", a_resistance);
    says<Resistance<>>("5 Ω 3", 4, "goes on after its unit with \"3\"", a_resistance);
    says<Resistance<>>("5 3 ohm", 2, "goes on after its unit with \"3 ohm\"", a_resistance);
    says<Resistance<>>("5 ohm)", 5, "has a unit that can't be read at \")\"", a_resistance);
    says<Resistance<>>("5 ohm, about", 5, "has a unit that can't be read at \", about\"", a_resistance);
    says<Area<>>("5 m9", 2, "has a unit that can't be read at \"m9\"",
                 "write an area, for example \"2.5 mm2\"");
}

TEST_CASE("a wire size that is none says what one looks like") {
    // Expected: see the top of this list.
    const char* gauge = "write a whole gauge from 4/0 to 40, for example \"14 AWG\" or \"2/0 AWG\"";
    const char* size = "write an area or a gauge, for example \"2.5 mm2\" or \"14 AWG\"";
    size_says("14.5 AWG", 0, "has \"14.5\", which is not a gauge", gauge);
    size_says("5/0 AWG", 0, "has \"5/0\", which is not a gauge", gauge);
    size_says("41 AWG", 0, "has \"41\", which is not a gauge", gauge);
    size_says("-2 AWG", 0, "has \"-2\", which is not a gauge", gauge);
    size_says("AWG x", 4, "has \"x\", which is not a gauge", gauge);
    size_says("AWG", 3, "has no gauge number", gauge);
    size_says("14 AWG thick", 7, "goes on after its gauge with \"thick\"", gauge);
    size_says("2.5", 3, "has no unit", "write the unit in the value, for example \"2.5 mm2\"");
    size_says("2.5 m", 4, "is a length; an area is wanted", size);
    size_says("", 0, "is empty", size);
    size_says("thick", 0, "starts with \"thick\", which is not a number", size);
    size_says("-2.5 mm2", 0, "is not above zero", size);
    size_says("0 mm2", 0, "is not above zero", size);
}

TEST_CASE("an accuracy that is none says what one looks like") {
    // Expected: see the top of this list.
    accuracy_says("", 0, "is empty");
    accuracy_says("2", 1, "has no % or counts after its number");
    accuracy_says("0.5 V", 4, "has \"V\" where % or counts is wanted");
    accuracy_says("0.5 % + 2 %", 8, "names a share twice");
    accuracy_says("2 counts + 3 counts", 11, "names counts twice");
    accuracy_says("-1 %", 0, "is below zero");
    accuracy_says("0.5 % 3", 6, "goes on with \"3\"");
    accuracy_says("0.5 % +", 7, "ends with a +");
    accuracy_says("good", 0, "starts with \"good\", which is not a number");
}

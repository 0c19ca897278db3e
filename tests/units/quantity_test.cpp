#include <doctest/doctest.h>

#include <type_traits>

#include "solver/units/quantity.h"
#include "solver/units/slope.h"

using namespace lostvolts;

// A resistance can't be passed where a conductance, a voltage or a bare number is meant, nor the other way.
static_assert(!std::is_convertible_v<Resistance<>, Conductance<>>);
static_assert(!std::is_convertible_v<Conductance<>, Resistance<>>);
static_assert(!std::is_convertible_v<Resistance<>, Voltage<>>);
static_assert(!std::is_convertible_v<double, Resistance<>>);
static_assert(!std::is_convertible_v<Resistance<>, double>);
static_assert(!std::is_convertible_v<Energy<>, Torque<>>);
static_assert(!std::is_convertible_v<Torque<>, Energy<>>);
static_assert(!std::is_convertible_v<Resistivity<>, ResistancePerLength<>>);

// The radian is counted: one motor constant serves volts and newton-metres.
static_assert(std::is_same_v<decltype(MotorConstant<>{} * Speed<>{}), Voltage<>>);
static_assert(std::is_same_v<decltype(MotorConstant<>{} * Current<>{}), Torque<>>);
static_assert(std::is_same_v<decltype(ViscousDrag<>{} * Speed<>{}), Torque<>>);
static_assert(std::is_same_v<decltype(Inertia<>{} * (Speed<>{} / Time<>{})), Torque<>>);
static_assert(std::is_same_v<decltype(Torque<>{} * Speed<>{}), Power<>>);
static_assert(std::is_same_v<decltype(Voltage<>{} / Current<>{}), Resistance<>>);
static_assert(std::is_same_v<decltype(Voltage<>{} * Current<>{}), Power<>>);
static_assert(std::is_same_v<decltype(Inductance<>{} * (Current<>{} / Time<>{})), Voltage<>>);
static_assert(std::is_same_v<decltype(Capacitance<>{} * (Voltage<>{} / Time<>{})), Current<>>);
static_assert(std::is_same_v<decltype(Charge<>{} / Time<>{}), Current<>>);
static_assert(std::is_same_v<decltype(Resistivity<>{} / Area<>{}), ResistancePerLength<>>);
static_assert(std::is_same_v<decltype(ResistancePerLength<>{} * Length<>{}), Resistance<>>);
static_assert(std::is_same_v<decltype(MotorConstant<Dual<2>>{} * Current<Dual<2>>{}), Torque<Dual<2>>>);

TEST_CASE("a motor constant gives volts from speed and newton-metres from current") {
    // Expected, by hand: 0.025 V s/rad at 400 rad/s is 10 V, and at 9 A is 0.225 N m.
    const auto k = from_si<MotorConstant<>>(0.025);
    const Voltage<> back_emf = k * from_si<Speed<>>(400);
    const Torque<> torque = k * from_si<Current<>>(9);
    CHECK(si(back_emf) == doctest::Approx(10).epsilon(1e-15));
    CHECK(si(torque) == doctest::Approx(0.225).epsilon(1e-15));
}

TEST_CASE("the degree Celsius starts at 273.15 K") {
    // Expected: by definition of the degree Celsius (SI brochure).
    CHECK(si(celsius(0)) == 273.15);
    CHECK(in_celsius(celsius(25)) == doctest::Approx(25).epsilon(1e-14));
}

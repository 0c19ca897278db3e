// The quantities this house speaks in, as types. A resistance can't be passed where a conductance is meant;
// inside a numerical kernel they become plain doubles in SI units, at its door, by `si(q)`.
// Each is a template over its number: double, or Dual where a slope is wanted (slope.h).
#pragma once

#include <numbers>

#include <boost/units/quantity.hpp>
#include <boost/units/systems/si/angular_velocity.hpp>
#include <boost/units/systems/si/area.hpp>
#include <boost/units/systems/si/capacitance.hpp>
#include <boost/units/systems/si/conductance.hpp>
#include <boost/units/systems/si/current.hpp>
#include <boost/units/systems/si/dimensionless.hpp>
#include <boost/units/systems/si/electric_charge.hpp>
#include <boost/units/systems/si/electric_potential.hpp>
#include <boost/units/systems/si/energy.hpp>
#include <boost/units/systems/si/inductance.hpp>
#include <boost/units/systems/si/length.hpp>
#include <boost/units/systems/si/mass.hpp>
#include <boost/units/systems/si/moment_of_inertia.hpp>
#include <boost/units/systems/si/power.hpp>
#include <boost/units/systems/si/resistance.hpp>
#include <boost/units/systems/si/temperature.hpp>
#include <boost/units/systems/si/time.hpp>
#include <boost/units/systems/si/torque.hpp>

namespace lostvolts {

namespace unit {
namespace si = boost::units::si;
template <class A, class B> using Per = typename boost::units::divide_typeof_helper<A, B>::type;
template <class A, class B> using Times = typename boost::units::multiply_typeof_helper<A, B>::type;

using MotorConstant = Per<si::electric_potential, si::angular_velocity>; // V·s/rad, and equally N·m/A
using ViscousDrag = Per<si::torque, si::angular_velocity>;
using TemperatureCoefficient = Per<si::dimensionless, si::temperature>;
using ResistancePerLength = Per<si::resistance, si::length>;
using Resistivity = Times<si::resistance, si::length>;
} // namespace unit

template <class U, class S> using Quantity = boost::units::quantity<U, S>;

template <class S = double> using Voltage = Quantity<unit::si::electric_potential, S>;
template <class S = double> using Current = Quantity<unit::si::current, S>;
template <class S = double> using Resistance = Quantity<unit::si::resistance, S>;
template <class S = double> using Conductance = Quantity<unit::si::conductance, S>;
template <class S = double> using Power = Quantity<unit::si::power, S>;
template <class S = double> using Length = Quantity<unit::si::length, S>;
template <class S = double> using Area = Quantity<unit::si::area, S>;
template <class S = double> using Mass = Quantity<unit::si::mass, S>;
template <class S = double> using Temperature = Quantity<unit::si::temperature, S>; // kelvin, absolute
template <class S = double> using Time = Quantity<unit::si::time, S>;
template <class S = double> using Speed = Quantity<unit::si::angular_velocity, S>;
template <class S = double> using Torque = Quantity<unit::si::torque, S>;
template <class S = double> using Inertia = Quantity<unit::si::moment_of_inertia, S>;
template <class S = double> using Inductance = Quantity<unit::si::inductance, S>;
template <class S = double> using Capacitance = Quantity<unit::si::capacitance, S>;
template <class S = double> using Charge = Quantity<unit::si::electric_charge, S>;
template <class S = double> using Energy = Quantity<unit::si::energy, S>;
template <class S = double> using MotorConstant = Quantity<unit::MotorConstant, S>;
template <class S = double> using ViscousDrag = Quantity<unit::ViscousDrag, S>;
template <class S = double> using TemperatureCoefficient = Quantity<unit::TemperatureCoefficient, S>;
template <class S = double> using ResistancePerLength = Quantity<unit::ResistancePerLength, S>;
template <class S = double> using Resistivity = Quantity<unit::Resistivity, S>;
template <class S = double> using Ratio = Quantity<unit::si::dimensionless, S>;

/// The plain number of a quantity, in its SI unit: the door into a numerical kernel.
template <class U, class S> constexpr S si(const Quantity<U, S>& q) { return q.value(); }

/// The quantity Q of a plain number in Q's SI unit: the door out of a numerical kernel.
template <class Q> constexpr Q from_si(const typename Q::value_type& value) { return Q::from_value(value); }

/// Turns a minute in one radian a second.
inline constexpr double rpm_per_si = 60 / (2 * std::numbers::pi);

inline constexpr double celsius_zero_kelvin =
    273.15; // by definition of the degree Celsius (BIPM SI brochure)
constexpr Temperature<> celsius(double degrees) {
    return from_si<Temperature<>>(degrees + celsius_zero_kelvin);
}
constexpr double in_celsius(Temperature<> t) { return si(t) - celsius_zero_kelvin; }

} // namespace lostvolts

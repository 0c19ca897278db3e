#include "solver/units/text.h"

#include "solver/units/kinds.h"

namespace lostvolts {
namespace {

template <class Q> constexpr Kind kind_of = Q::is_no_quantity_that_people_write; // all that are stand below

template <> constexpr Kind kind_of<Voltage<>> = Kind::voltage;
template <> constexpr Kind kind_of<Current<>> = Kind::current;
template <> constexpr Kind kind_of<Resistance<>> = Kind::resistance;
template <> constexpr Kind kind_of<Conductance<>> = Kind::conductance;
template <> constexpr Kind kind_of<Power<>> = Kind::power;
template <> constexpr Kind kind_of<Length<>> = Kind::length;
template <> constexpr Kind kind_of<Area<>> = Kind::area;
template <> constexpr Kind kind_of<Mass<>> = Kind::mass;
template <> constexpr Kind kind_of<Temperature<>> = Kind::temperature;
template <> constexpr Kind kind_of<Time<>> = Kind::time;
template <> constexpr Kind kind_of<Speed<>> = Kind::speed;
template <> constexpr Kind kind_of<Torque<>> = Kind::torque;
template <> constexpr Kind kind_of<Inertia<>> = Kind::inertia;
template <> constexpr Kind kind_of<Inductance<>> = Kind::inductance;
template <> constexpr Kind kind_of<Capacitance<>> = Kind::capacitance;
template <> constexpr Kind kind_of<Charge<>> = Kind::charge;
template <> constexpr Kind kind_of<Energy<>> = Kind::energy;
template <> constexpr Kind kind_of<MotorConstant<>> = Kind::motor_constant;
template <> constexpr Kind kind_of<ViscousDrag<>> = Kind::viscous_drag;
template <> constexpr Kind kind_of<TemperatureCoefficient<>> = Kind::temperature_coefficient;
template <> constexpr Kind kind_of<ResistancePerLength<>> = Kind::resistance_per_length;
template <> constexpr Kind kind_of<Resistivity<>> = Kind::resistivity;
template <> constexpr Kind kind_of<Ratio<>> = Kind::ratio;

} // namespace

template <class Q> Parsed<Q> read_quantity(std::string_view text) {
    if constexpr (kind_of<Q> == Kind::area) {
        if (is_gauge(text)) {
            const Parsed<WireSize> size = read_wire_size(text);
            if (const auto* error = std::get_if<ValueError>(&size)) return *error;
            return std::get<WireSize>(size).area;
        }
    }
    Parsed<double> parsed = read_si(text, kind_of<Q>);
    if (auto* error = std::get_if<ValueError>(&parsed)) return std::move(*error);
    return from_si<Q>(std::get<double>(parsed));
}

template <class Q> std::string write_quantity(Q value) { return write_si(si(value), kind_of<Q>); }
template <class Q> std::string show(Q value, int digits) { return show_si(si(value), kind_of<Q>, digits); }

#define LOSTVOLTS_TEXT_OF(Q)                                                                                 \
    template Parsed<Q<>> read_quantity<Q<>>(std::string_view);                                               \
    template std::string write_quantity<Q<>>(Q<>);                                                           \
    template std::string show<Q<>>(Q<>, int);

LOSTVOLTS_TEXT_OF(Voltage)
LOSTVOLTS_TEXT_OF(Current)
LOSTVOLTS_TEXT_OF(Resistance)
LOSTVOLTS_TEXT_OF(Conductance)
LOSTVOLTS_TEXT_OF(Power)
LOSTVOLTS_TEXT_OF(Length)
LOSTVOLTS_TEXT_OF(Area)
LOSTVOLTS_TEXT_OF(Mass)
LOSTVOLTS_TEXT_OF(Temperature)
LOSTVOLTS_TEXT_OF(Time)
LOSTVOLTS_TEXT_OF(Speed)
LOSTVOLTS_TEXT_OF(Torque)
LOSTVOLTS_TEXT_OF(Inertia)
LOSTVOLTS_TEXT_OF(Inductance)
LOSTVOLTS_TEXT_OF(Capacitance)
LOSTVOLTS_TEXT_OF(Charge)
LOSTVOLTS_TEXT_OF(Energy)
LOSTVOLTS_TEXT_OF(MotorConstant)
LOSTVOLTS_TEXT_OF(ViscousDrag)
LOSTVOLTS_TEXT_OF(TemperatureCoefficient)
LOSTVOLTS_TEXT_OF(ResistancePerLength)
LOSTVOLTS_TEXT_OF(Resistivity)
LOSTVOLTS_TEXT_OF(Ratio)
#undef LOSTVOLTS_TEXT_OF

} // namespace lostvolts

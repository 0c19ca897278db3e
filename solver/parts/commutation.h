// Commutation: a motor's numbers while its bars pass under the brushes.
//   constant    k(θ) = k·e(φ)              resistance   R(θ) = R·e(φ) + R_bar      angle   0 = ω − dθ/dt
//   envelope    e(φ) = cos φ·(π/N)/sin(π/N), φ = −π/N … π/N across one bar
// N ripples a turn: the bars K if they are even, 2K if odd. The cosine is the voltage of the coil group
// between the brushes as it turns out of the field's axis; at the bar's edge the brush bridges two bars and
// shorts a coil, which takes about as large a share of the resistance. The mean over a turn is the motor's
// own k and R. R_bar is what one bad bar adds while it is under the positive brush, once a turn. Holds for:
// two poles, one coil a bar, no cogging. Source: lcm(2; K) ripples a turn [RIP2]; the shape is common
// practice, no source.
#pragma once

#include <cmath>
#include <numbers>

#include <boost/units/systems/si/plane_angle.hpp>

#include "solver/parts/motor.h"

namespace lostvolts {

template <class S = double> using Angle = Quantity<boost::units::si::plane_angle, S>;

/// A bar that conducts worse than the others.
struct BadBar {
    int bar = 0;          ///< from 0
    Resistance<> added{}; ///< while it is under the brush
};

/// An open bar: the brush still drags an arc over it. Forty times the winding's resistance: common practice,
/// no source.
inline Resistance<> open_bar(const Motor<>& m) { return m.winding * 40.0; }

inline int ripples_per_turn(int bars) { return bars % 2 == 0 ? bars : 2 * bars; }

/// A motor in time with its rotor's angle; `sector` is the stretch between two edges it stands in.
struct Commutating {
    template <class S> using Own = std::tuple<Current<S>, Speed<S>, Angle<S>>;

    Motor<> motor{};
    int ripples = 8;
    int sector = 0;
    Resistance<> added{}; ///< R_bar of this sector

    double pitch() const { return 2 * std::numbers::pi / ripples; }
    double normal = 0; ///< (π/N)/sin(π/N)
};

inline Commutating commutating(const Motor<>& motor) {
    const int ripples = ripples_per_turn(motor.settings.bars);
    const double half = std::numbers::pi / ripples;
    return {motor, ripples, 0, {}, half / std::sin(half)};
}

inline double cosine(double x) { return std::cos(x); }
template <int N> Dual<N> cosine(const Dual<N>& x) { return x.chain(std::cos(x.value), -std::sin(x.value)); }

/// The motor as it is at an angle.
template <class S> Motor<S> motor_at(const Commutating& c, const S& angle) {
    const S envelope = cosine(S(angle - (c.sector + 0.5) * c.pitch())) * c.normal;
    Motor<S> m;
    m.settings = c.motor.settings;
    const auto take = [](const auto& q, auto& to) {
        using To = std::decay_t<decltype(to)>;
        to = To::from_value(S(si(q)));
    };
    take(c.motor.brush_drop, m.brush_drop);
    take(c.motor.load_torque, m.load_torque);
    take(c.motor.friction, m.friction);
    take(c.motor.drag, m.drag);
    take(c.motor.inductance, m.inductance);
    take(c.motor.inertia, m.inertia);
    m.brushes = from_si<Resistance<S>>(S(si(c.motor.brushes) + si(c.added)));
    m.winding = from_si<Resistance<S>>(si(c.motor.winding) * envelope);
    m.constant = from_si<MotorConstant<S>>(si(c.motor.constant) * envelope);
    return m;
}

template <class S>
auto balance(const Commutating& c, const Voltage<S>& v,
             const std::tuple<Current<S>, Speed<S>, Angle<S>>& own) {
    const auto& [i, w, angle] = own;
    const auto b = balance(motor_at(c, S(angle.value())), v, std::tuple{i, w});
    return balanced<S>(b.current, std::get<0>(b.rows), std::get<1>(b.rows), row(w, angle));
}

inline int region(const Commutating& c, double volts, const std::tuple<double, double, double>& own) {
    return region(c.motor, volts, {std::get<0>(own), std::get<1>(own)});
}

} // namespace lostvolts

// Brushed permanent-magnet DC motor.
//   winding   0 = v − (R + R_brushes)·i − V_brush·sgn(i) − k·ω − d(L·i)/dt                volts
//   shaft     0 = k·i − T_friction·sgn(ω) − b·ω − T_load(ω) − d(J·ω)/dt                   newton-metres
//   load      T_load(ω) = T·(|ω|/ω_load)ⁿ·sgn(ω), n = 0 constant, 1 linear, 2 quadratic
// Signs: i > 0 enters at `from`, the + terminal; ω > 0 is the way i > 0 turns the shaft.
// A millionth of the load torque is taken as viscous so that every answer is unique.
// sgn is a straight line within a thousandth of the load's speed, and below the brush knee current, so that a
// stalled or dead motor has one answer. A locked rotor has 0 = ω in the shaft's place. Holds for: unsaturated
// iron, winding at one temperature; L and J only matter in time. Nameplate: R = (V − V_brush)/I_stall, k = (V
// − V_brush − R·I_run)/ω_run, T_load(ω_run) = k·I_run − T_friction. Source: any machines text, e.g. OpenStax
// College Physics, Back Emf; [EMD] exercise 2; [MSL] DcPermanentMagnetData.
#pragma once

#include <array>
#include <cmath>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

enum class LoadLaw { constant = 0, linear = 1, quadratic = 2 };

struct MotorSettings {
    LoadLaw law = LoadLaw::quadratic;
    Speed<> load_speed = from_si<Speed<>>(1.0); ///< where the load torque is as stated
    Current<> brush_knee{};                     ///< below it the brush drop shrinks in proportion
    Current<> run_current{};                    ///< typical, where the solver starts
    Voltage<> rated{};
    bool locked = false;
    int bars = 0; ///< commutator bars, 0: not told
};

inline constexpr double standstill_share = 1e-3; ///< of the load's speed: sgn is a straight line below

template <class P = double> struct Motor {
    static constexpr std::string_view kind = "motor";
    static constexpr bool linear = false;
    template <class S> using Own = std::tuple<Current<S>, Speed<S>>;

    Resistance<P> winding{};
    Resistance<P> brushes{}; ///< a fault's number, 0 when healthy
    MotorConstant<P> constant{};
    Voltage<P> brush_drop{};
    Torque<P> load_torque{};
    Torque<P> friction{};
    ViscousDrag<P> drag{};
    Inductance<P> inductance{};
    Inertia<P> inertia{};
    MotorSettings settings{};

    // Nameplates are typical values: ±8 % on resistance, ±5 % on the constant, ±12 % on the load. Common
    // practice.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"winding resistance", &Motor::winding, 0.08, true},
                          Parameter{"brush resistance", &Motor::brushes, 0},
                          Parameter{"motor constant", &Motor::constant, 0.05, true},
                          Parameter{"brush drop", &Motor::brush_drop, 0.20},
                          Parameter{"load torque", &Motor::load_torque, 0.12, true},
                          Parameter{"friction torque", &Motor::friction, 0.20},
                          Parameter{"viscous drag", &Motor::drag, 0.20},
                          Parameter{"inductance", &Motor::inductance, 0.20},
                          Parameter{"inertia", &Motor::inertia, 0.20}};
    }
};

template <class P, class S>
constexpr auto balance(const Motor<P>& m, Voltage<S> v, const std::tuple<Current<S>, Speed<S>>& own) {
    const auto& [i, w] = own;
    using T = Mixed<P, S>;
    const MotorSettings& set = m.settings;
    const double standstill = standstill_share * si(set.load_speed);
    const Ratio<S> turning(soft_sign(si(w), standstill));
    const Ratio<S> conducting(soft_sign(si(i), si(set.brush_knee)));
    const S pace = magnitude(si(w)) / si(set.load_speed);
    const Ratio<S> law(set.law == LoadLaw::constant ? S(1.0)
                       : set.law == LoadLaw::linear ? pace
                                                    : pace * pace);
    // A millionth of the load is viscous whatever its law: the slope that keeps every answer unique.
    constexpr double slack = 1e-6;
    const Ratio<S> load = (1 - slack) * law * turning + slack * Ratio<S>(si(w) / si(set.load_speed));

    const Voltage<T> winding = v - (m.winding + m.brushes) * i - m.brush_drop * conducting - m.constant * w;
    const Torque<T> shaft = m.constant * i - m.friction * turning - m.load_torque * load - m.drag * w;
    const Torque<T> held = -from_si<ViscousDrag<P>>(P(1.0)) * w;
    return balanced<T>(Current<T>(i * Ratio<P>(P(1.0))), row(winding, m.inductance * i),
                       row(set.locked ? held : shaft, m.inertia * w));
}

/// Which straight stretch of its signs a motor is on: the solver does not step over two kinks at once.
inline int region(const Motor<>& m, double, const std::tuple<double, double>& own) {
    const auto side = [](double x, double width) { return x >= width ? 2 : x <= -width ? 0 : 1; };
    const double knee = si(m.settings.brush_knee);
    const int brush = si(m.brush_drop) > 0 ? side(std::get<0>(own), knee) : 1;
    return 3 * side(std::get<1>(own), standstill_share * si(m.settings.load_speed)) + brush;
}

/// Held by friction: the crawl that the straight stretch of its sign leaves is the equation's, not the
/// shaft's.
inline bool stands_still(const Motor<>& m, double speed) {
    const bool stiff = si(m.friction) > 0 || m.settings.law == LoadLaw::constant;
    return m.settings.locked || (stiff && std::abs(speed) < standstill_share * si(m.settings.load_speed));
}

/// A motor that carries less of its run current carries nothing, to rounding. What friction takes of a small
/// motor running free is 3 to 15 % of that current (common practice, no source): a meter's microamperes move
/// no shaft.
inline constexpr double held_share = 1e-11;

/// Whether friction holds the shaft whatever the load's law: to an instrument the motor then is its winding,
/// not the crawl that the viscous millionth would make of it.
inline bool held_at_rest(const Motor<>& m, double amps) {
    return std::abs(amps) < held_share * si(m.settings.run_current);
}

/// Where the solver starts a motor: turning as its nameplate says.
inline std::tuple<double, double> start(const Motor<>& m) {
    return {si(m.settings.run_current), m.settings.locked ? 0.0 : si(m.settings.load_speed)};
}

/// Running light goes up to 85 % of the load: with its ±12 % a sound load that light lies two and a half
/// standard deviations out, and a pump that has lost a fifth of its water is a fault that people ask about.
inline std::span<const FaultMode> faults(const Motor<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::worn_brushes, 4, 1, 3000},
                                      FaultMode{FaultKind::open, 2},
                                      FaultMode{FaultKind::dragging, 3, 0.3, 5},
                                      FaultMode{FaultKind::seized, 2},
                                      FaultMode{FaultKind::running_light, 2, 0.0, 0.85},
                                      FaultMode{FaultKind::weak_field, 1, 0.15, 0.7},
                                      FaultMode{FaultKind::shorted_winding, 1.5, 0.05, 0.5},
                                      FaultMode{FaultKind::short_to_ground, 0.5, 0.01, 5}};
    return modes;
}

/// dragging: friction of `size` times the load torque on top; running light: `size` of the load torque is
/// left; weak field: the constant has lost `size` of its value; shorted winding: `size` of the turns are
/// shorted: resistance and constant fall by it, and the turns drag as a brake of k²·size/R (the power an emf
/// k·size·ω gives R·size).
inline void apply(Motor<>& m, FaultKind kind, double size) {
    if (kind == FaultKind::worn_brushes) m.brushes = from_si<Resistance<>>(size);
    if (kind == FaultKind::dragging) m.friction += m.load_torque * size;
    if (kind == FaultKind::seized) m.settings.locked = true;
    if (kind == FaultKind::running_light) m.load_torque *= size;
    if (kind == FaultKind::weak_field) m.constant *= 1 - size;
    if (kind == FaultKind::shorted_winding) {
        m.drag += m.constant * m.constant / m.winding * size;
        m.constant *= 1 - size;
        m.winding *= 1 - size;
        m.inductance *= (1 - size) * (1 - size);
    }
}

Motor<> read_motor(Entry& e);

} // namespace lostvolts

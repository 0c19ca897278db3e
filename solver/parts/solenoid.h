// Solenoid: a coil that moves a valve or a plunger.
//   winding   0 = v − R·i − d(L·i)/dt         volts
//   current   i
// Holds for: a winding at one temperature, inductance that does not change with the stroke. Source: Ohm,
// Faraday.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct SolenoidSettings {};

template <class P = double> struct Solenoid {
    static constexpr std::string_view kind = "solenoid";
    static constexpr bool linear = true;
    template <class S> using Own = std::tuple<Current<S>>;

    Resistance<P> resistance{};
    Inductance<P> inductance{};
    SolenoidSettings settings{};

    // ±10 %: common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"resistance", &Solenoid::resistance, 0.1, true},
                          Parameter{"inductance", &Solenoid::inductance, 0.20}};
    }
};

template <class P, class S>
constexpr auto balance(const Solenoid<P>& p, Voltage<S> v, const std::tuple<Current<S>>& own) {
    const Current<S>& i = std::get<0>(own);
    return balanced<Mixed<P, S>>(Current<Mixed<P, S>>(i * Ratio<P>(P(1.0))),
                                 row(v - p.resistance * i, p.inductance * i));
}

inline std::tuple<double> start(const Solenoid<>&) { return {0.0}; }

inline std::span<const FaultMode> faults(const Solenoid<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::open, 3}};
    return modes;
}

inline void apply(Solenoid<>&, FaultKind, double) {} // open is the circuit's doing

inline Solenoid<> read_solenoid(Entry& e) {
    Solenoid<> p;
    if (!e.has("resistance")) e.missing("resistance", "resistance = \"8 ohm\"");
    p.resistance = e.resistance("resistance", from_si<Resistance<>>(1.0));
    // 5 ms when not told: common practice, no source.
    p.inductance = e.value<Inductance<>>("inductance", from_si<Inductance<>>(0.005 * si(p.resistance)));
    return p;
}

} // namespace lostvolts

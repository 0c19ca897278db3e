// Capacitor: with its series resistance; u is the voltage that it is charged to.
//   charge    0 = i − d(C·u)/dt         amperes
//   current   i = (v − u)/R
// Holds for: no leakage, so at rest it is an open place in the circuit. Source: any circuits text.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct CapacitorSettings {};

template <class P = double> struct Capacitor {
    static constexpr std::string_view kind = "capacitor";
    static constexpr bool linear = true;
    template <class S> using Own = std::tuple<Voltage<S>>;

    Capacitance<P> capacitance{};
    Resistance<P> resistance{};
    CapacitorSettings settings{};

    // ±20 %: electrolytic capacitors. Common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"capacitance", &Capacitor::capacitance, 0.20, true},
                          Parameter{"resistance", &Capacitor::resistance, 0.50}};
    }
};

template <class P, class S>
constexpr auto balance(const Capacitor<P>& p, Voltage<S> v, const std::tuple<Voltage<S>>& own) {
    const Voltage<S>& u = std::get<0>(own);
    const auto i = (v - u) / p.resistance;
    return balanced<Mixed<P, S>>(i, row(i, p.capacitance * u));
}

inline std::tuple<double> start(const Capacitor<>&) { return {0.0}; }

inline std::span<const FaultMode> faults(const Capacitor<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::open, 1}};
    return modes;
}

inline void apply(Capacitor<>&, FaultKind, double) {} // open is the circuit's doing

inline Capacitor<> read_capacitor(Entry& e) {
    Capacitor<> p;
    p.capacitance = e.needed<Capacitance<>>("capacitance", "capacitance = \"2200 uF\"");
    p.resistance = e.resistance("resistance", from_si<Resistance<>>(0.05)); // common practice, no source
    return p;
}

} // namespace lostvolts

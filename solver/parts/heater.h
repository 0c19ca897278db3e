// Heater: a heating element, taken as a fixed resistance at its working temperature.
//   current   i = v / R         R = V_rated²/P_rated
// Source: Ohm's law.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct HeaterSettings {};

template <class P = double> struct Heater {
    static constexpr std::string_view kind = "heater";
    static constexpr bool linear = true;
    template <class S> using Own = Nothing;

    Resistance<P> resistance{};
    HeaterSettings settings{};

    // ±10 %: common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"resistance", &Heater::resistance, 0.1, true}};
    }
};

template <class P, class S> constexpr auto balance(const Heater<P>& p, Voltage<S> v, const Nothing&) {
    return balanced<Mixed<P, S>>(v / p.resistance);
}

inline std::span<const FaultMode> faults(const Heater<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::open, 3}};
    return modes;
}

inline void apply(Heater<>&, FaultKind, double) {} // open is the circuit's doing

inline Heater<> read_heater(Entry& e) {
    Heater<> p;
    if (const auto ohms = e.maybe_resistance("resistance")) {
        p.resistance = *ohms;
    } else {
        const auto rated = e.needed<Voltage<>>("rated", "rated = \"12 V\"");
        const auto power = e.needed<Power<>>("power", "power = \"150 W\"");
        p.resistance = rated * rated / power;
    }
    return p;
}

} // namespace lostvolts

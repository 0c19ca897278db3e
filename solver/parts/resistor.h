// Resistor: a fixed load, a dropping resistor, a suppressor.
//   current   i = v / R
// Source: Ohm's law.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct ResistorSettings {};

template <class P = double> struct Resistor {
    static constexpr std::string_view kind = "resistor";
    static constexpr bool linear = true;
    template <class S> using Own = Nothing;

    Resistance<P> resistance{};
    ResistorSettings settings{};

    // ±5 %: the usual series (IEC 60063 E24).
    static constexpr auto parameters() {
        return std::tuple{Parameter{"resistance", &Resistor::resistance, 0.05, true}};
    }
};

template <class P, class S> constexpr auto balance(const Resistor<P>& p, Voltage<S> v, const Nothing&) {
    return balanced<Mixed<P, S>>(v / p.resistance);
}

inline std::span<const FaultMode> faults(const Resistor<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::open, 2}};
    return modes;
}

inline void apply(Resistor<>&, FaultKind, double) {} // open is the circuit's doing

inline Resistor<> read_resistor(Entry& e) {
    Resistor<> p;
    if (!e.has("resistance")) e.missing("resistance", "resistance = \"10 ohm\"");
    p.resistance = e.resistance("resistance", from_si<Resistance<>>(1.0));
    return p;
}

} // namespace lostvolts

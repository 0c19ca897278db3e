// Diode: `from` is the anode.
//   current   i = (v − V_forward)/R above the forward drop; below it a leak of a nanosiemens
// Holds for: a rectifier well above its knee. Source: piecewise-linear diode, any electronics text.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct DiodeSettings {};

template <class P = double> struct Diode {
    static constexpr std::string_view kind = "diode";
    static constexpr bool linear = false;
    template <class S> using Own = Nothing;

    Voltage<P> forward_drop{};
    Resistance<P> resistance{};
    DiodeSettings settings{};

    // ±10 %: common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"forward drop", &Diode::forward_drop, 0.10, true},
                          Parameter{"resistance", &Diode::resistance, 0.5}};
    }
};

template <class P, class S> constexpr auto balance(const Diode<P>& p, Voltage<S> v, const Nothing&) {
    using T = Mixed<P, S>;
    const Conductance<P> leak = from_si<Conductance<P>>(P(1e-9));
    if (plain(si(v)) <= plain(si(p.forward_drop))) return balanced<T>(Current<T>(leak * v));
    return balanced<T>(Current<T>((v - p.forward_drop) / p.resistance + leak * v));
}

/// Which straight stretch: blocking or conducting.
inline int region(const Diode<>& p, double volts, const Nothing&) {
    return volts > si(p.forward_drop) ? 1 : 0;
}

inline std::span<const FaultMode> faults(const Diode<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::open, 3}};
    return modes;
}

inline void apply(Diode<>&, FaultKind, double) {} // open is the circuit's doing

inline Diode<> read_diode(Entry& e) {
    Diode<> p;
    p.forward_drop = e.value<Voltage<>>("forward_drop", from_si<Voltage<>>(0.7)); // silicon, common practice
    p.resistance = e.resistance("resistance", from_si<Resistance<>>(0.02));
    return p;
}

} // namespace lostvolts

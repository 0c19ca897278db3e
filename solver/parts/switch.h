// Switch: a hand-worked contact, open unless a state lists it as closed.
//   current   i = v / (R + R_added) closed, 0 open
// Source: Ohm's law. 10 mΩ when nothing is said: common practice, no source.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct SwitchSettings {
    bool closed = false;
    Current<> rating{}; ///< steady, as its maker states it; 0: not told
};

template <class P = double> struct Switch {
    static constexpr std::string_view kind = "switch";
    static constexpr bool linear = true;
    template <class S> using Own = Nothing;

    Resistance<P> resistance{};
    Resistance<P> added{};
    SwitchSettings settings{};

    // ±60 %: contact wear. Common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"resistance", &Switch::resistance, 0.6, true},
                          Parameter{"added resistance", &Switch::added, 0}};
    }
};

template <class P, class S> constexpr auto balance(const Switch<P>& p, Voltage<S> v, const Nothing&) {
    using T = Mixed<P, S>;
    if (!p.settings.closed) return balanced<T>(Current<T>{});
    return balanced<T>(ohmic(p.resistance, p.added, v));
}

inline std::span<const FaultMode> faults(const Switch<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::high_resistance, 5, 1, 3000},
                                      FaultMode{FaultKind::open, 3}};
    return modes;
}

inline void apply(Switch<>& p, FaultKind kind, double size) {
    if (kind == FaultKind::high_resistance) p.added = from_si<Resistance<>>(size);
}

inline Switch<> read_switch(Entry& e) {
    Switch<> p;
    p.resistance = e.resistance("resistance", from_si<Resistance<>>(10e-3));
    p.settings.rating = e.value("rating", Current<>{});
    return p;
}

} // namespace lostvolts

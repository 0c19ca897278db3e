// Splice: a crimped or soldered joint in a wire.
//   current   i = v / (R + R_added)
// Source: Ohm's law. 2 mΩ when nothing is said: common practice, no source.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct SpliceSettings {};

template <class P = double> struct Splice {
    static constexpr std::string_view kind = "splice";
    static constexpr bool linear = true;
    template <class S> using Own = Nothing;

    Resistance<P> resistance{};
    Resistance<P> added{};
    SpliceSettings settings{};

    // ±60 %: workmanship. Common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"resistance", &Splice::resistance, 0.6, true},
                          Parameter{"added resistance", &Splice::added, 0}};
    }
};

template <class P, class S> constexpr auto balance(const Splice<P>& p, Voltage<S> v, const Nothing&) {
    return balanced<Mixed<P, S>>(ohmic(p.resistance, p.added, v));
}

inline std::span<const FaultMode> faults(const Splice<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::high_resistance, 4, 1, 3000},
                                      FaultMode{FaultKind::open, 1}};
    return modes;
}

inline void apply(Splice<>& p, FaultKind kind, double size) {
    if (kind == FaultKind::high_resistance) p.added = from_si<Resistance<>>(size);
}

inline Splice<> read_splice(Entry& e) {
    Splice<> p;
    p.resistance = e.resistance("resistance", from_si<Resistance<>>(2.0e-3));
    return p;
}

} // namespace lostvolts

// Ground: a ring terminal bolted to the frame or to a ground bar.
//   current   i = v / (R + R_added)
// Source: Ohm's law. 3 mΩ when nothing is said: common practice, no source.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct GroundSettings {};

template <class P = double> struct Ground {
    static constexpr std::string_view kind = "ground";
    static constexpr bool linear = true;
    template <class S> using Own = Nothing;

    Resistance<P> resistance{};
    Resistance<P> added{};
    GroundSettings settings{};

    // ±60 %: paint, plating, torque. Common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"resistance", &Ground::resistance, 0.6, true},
                          Parameter{"added resistance", &Ground::added, 0}};
    }
};

template <class P, class S> constexpr auto balance(const Ground<P>& p, Voltage<S> v, const Nothing&) {
    return balanced<Mixed<P, S>>(ohmic(p.resistance, p.added, v));
}

inline std::span<const FaultMode> faults(const Ground<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::high_resistance, 10, 1, 3000},
                                      FaultMode{FaultKind::open, 2}};
    return modes;
}

inline void apply(Ground<>& p, FaultKind kind, double size) {
    if (kind == FaultKind::high_resistance) p.added = from_si<Resistance<>>(size);
}

inline Ground<> read_ground(Entry& e) {
    Ground<> p;
    p.resistance = e.resistance("resistance", from_si<Resistance<>>(3.0e-3));
    return p;
}

} // namespace lostvolts

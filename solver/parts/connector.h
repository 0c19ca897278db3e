// Connector: a plug and socket, one pole.
//   current   i = v / (R + R_added)
// Source: Ohm's law. 5 mΩ when nothing is said: common practice, no source (makers' limits are 5 to 10 mΩ
// when new).
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct ConnectorSettings {
    Current<> rating{}; ///< steady, as its maker states it; 0: not told
};

template <class P = double> struct Connector {
    static constexpr std::string_view kind = "connector";
    static constexpr bool linear = true;
    template <class S> using Own = Nothing;

    Resistance<P> resistance{};
    Resistance<P> added{};
    ConnectorSettings settings{};

    // ±60 %: wear and plating. Common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"resistance", &Connector::resistance, 0.6, true},
                          Parameter{"added resistance", &Connector::added, 0}};
    }
};

template <class P, class S> constexpr auto balance(const Connector<P>& p, Voltage<S> v, const Nothing&) {
    return balanced<Mixed<P, S>>(ohmic(p.resistance, p.added, v));
}

inline std::span<const FaultMode> faults(const Connector<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::high_resistance, 8, 1, 3000},
                                      FaultMode{FaultKind::open, 2},
                                      FaultMode{FaultKind::short_to_ground, 0.5, 0.01, 5}};
    return modes;
}

inline void apply(Connector<>& p, FaultKind kind, double size) {
    if (kind == FaultKind::high_resistance) p.added = from_si<Resistance<>>(size);
}

inline Connector<> read_connector(Entry& e) {
    Connector<> p;
    p.resistance = e.resistance("resistance", from_si<Resistance<>>(5.0e-3));
    p.settings.rating = e.value("rating", Current<>{});
    return p;
}

} // namespace lostvolts

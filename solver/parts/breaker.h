// Breaker: a thermal circuit breaker, closed unless a state says otherwise.
//   current   i = v / (R + R_added)
// Holds for: closed; what would trip it is a caution. Source: Ohm's law. When only the rating is said, 0.1 V
// at rating: common practice, no source.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct BreakerSettings {
    Current<> rating{};
};

template <class P = double> struct Breaker {
    static constexpr std::string_view kind = "breaker";
    static constexpr bool linear = true;
    template <class S> using Own = Nothing;

    Resistance<P> resistance{};
    Resistance<P> added{};
    BreakerSettings settings{};

    // ±30 %: common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"resistance", &Breaker::resistance, 0.3, true},
                          Parameter{"added resistance", &Breaker::added, 0}};
    }
};

template <class P, class S> constexpr auto balance(const Breaker<P>& p, Voltage<S> v, const Nothing&) {
    return balanced<Mixed<P, S>>(ohmic(p.resistance, p.added, v));
}

inline std::span<const FaultMode> faults(const Breaker<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::high_resistance, 3, 1, 3000},
                                      FaultMode{FaultKind::open, 3}};
    return modes;
}

inline void apply(Breaker<>& p, FaultKind kind, double size) {
    if (kind == FaultKind::high_resistance) p.added = from_si<Resistance<>>(size);
}

inline Breaker<> read_breaker(Entry& e) {
    Breaker<> p;
    const auto ohms = e.maybe_resistance("resistance");
    const auto rating = e.maybe<Current<>>("rating");
    if (!ohms && !e.has("rating")) e.missing("rating", "rating = \"25 A\"");
    p.settings.rating = rating.value_or(Current<>{});
    p.resistance = ohms ? *ohms : from_si<Voltage<>>(0.1) / rating.value_or(from_si<Current<>>(10.0));
    return p;
}

} // namespace lostvolts

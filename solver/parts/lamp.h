// Lamp: a tungsten filament at its settled temperature.
//   current   i = v / R(v)         R = R_rated·((v/V_rated)² + c²)^0.225, so that i ∝ v^0.55 when hot
// c = 0.004 makes a dark filament a twelfth of the hot resistance.
// Holds for: settled light; the cold inrush is in time. Source: lamp re-rating, current exponent 0.55, [LMP];
// hot to cold 12: handbook, from memory.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct LampSettings {
    Voltage<> rated{};
    Power<> power{};
};

template <class P = double> struct Lamp {
    static constexpr std::string_view kind = "lamp";
    static constexpr bool linear = false;
    template <class S> using Own = Nothing;

    Resistance<P> resistance{}; ///< hot, at rated voltage
    LampSettings settings{};

    // ±10 %: common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"resistance", &Lamp::resistance, 0.1, true}};
    }
};

template <class P, class S> constexpr auto balance(const Lamp<P>& p, Voltage<S> v, const Nothing&) {
    using T = Mixed<P, S>;
    constexpr double dark = 0.004;
    const S x = si(v) / si(p.settings.rated);
    const S shape = power(x * x + dark * dark, -0.225);
    return balanced<T>(Current<T>(v / p.resistance * Ratio<S>(shape)));
}

inline double start_volts(const Lamp<>& p) { return si(p.settings.rated); }

inline std::span<const FaultMode> faults(const Lamp<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::open, 5}};
    return modes;
}

inline void apply(Lamp<>&, FaultKind, double) {} // open is the circuit's doing

inline Lamp<> read_lamp(Entry& e) {
    Lamp<> p;
    p.settings.rated = e.needed<Voltage<>>("rated", "rated = \"12 V\"");
    p.settings.power = e.needed<Power<>>("power", "power = \"21 W\"");
    p.resistance = p.settings.rated * p.settings.rated / p.settings.power;
    return p;
}

} // namespace lostvolts

// Lamp: a tungsten filament at its settled temperature.
//   current   i = v / R(v)         R = R_rated·((v/V_rated)² + c²)^0.225, so that i ∝ v^0.55 when hot
// c = 0.004 makes a dark filament a twelfth of the hot resistance.
// In time the filament warms: y is its temperature as a share of the rated one.
//   current   i = v / R(y)         R = R_rated·y^1.2
//   heat      0 = v·i − P_lost(y) − d(Q·y)/dt      watts; P_lost = P_rated·(y^(16/3) − c²)/y^1.2
// At rest both say the same: y = ((v/V_rated)² + c²)^(3/16). Resistance ∝ T^1.2 together with i ∝ v^0.55 asks
// that the loss grows with T^4.13, which is what a grey body does; and the dark filament comes out at 340 K
// of 2700 K. Holds for: settled light in the first text, a filament of one temperature in the second. Source:
// lamp re-rating, current exponent 0.55, [LMP]; hot to cold 12: handbook, from memory; tungsten ∝ T^1.2: from
// memory.
#pragma once

#include <array>
#include <cmath>

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

inline constexpr double dark_filament = 0.004; ///< c

template <class P, class S> constexpr auto balance(const Lamp<P>& p, Voltage<S> v, const Nothing&) {
    using T = Mixed<P, S>;
    const S x = si(v) / si(p.settings.rated);
    const S shape = power(x * x + dark_filament * dark_filament, -0.225);
    return balanced<T>(Current<T>(v / p.resistance * Ratio<S>(shape)));
}

/// The lamp in time.
struct Filament {
    template <class S> using Own = std::tuple<Ratio<S>>; ///< y

    Resistance<> hot{};
    Power<> power{}; ///< at rated voltage
    Energy<> heat{}; ///< Q: what the filament holds at its rated temperature
};

template <class S>
constexpr auto balance(const Filament& f, const Voltage<S>& v, const std::tuple<Ratio<S>>& own) {
    const S y = std::get<0>(own).value();
    const S resistance = lostvolts::power(y, 1.2);
    const S loss = (lostvolts::power(y, 16.0 / 3) - dark_filament * dark_filament) / resistance;
    const Current<S> i = v / f.hot / Ratio<S>(resistance);
    return balanced<S>(i,
                       row(Power<S>(v * i - f.power * Ratio<S>(loss)), Energy<S>(f.heat * std::get<0>(own))));
}

/// A dark filament's y.
inline std::tuple<double> start(const Filament&) { return {std::pow(dark_filament, 3.0 / 8)}; }

/// Q/P_rated is 78 ms for 21 W at 12 V, so that such a lamp is within 5 % of its settled current 50 ms after
/// it is switched on; it grows with the filament's diameter, ∝ I^(2/3). Common practice, no source.
inline Filament filament(const Lamp<>& p) {
    const double amps = si(p.settings.power) / si(p.settings.rated);
    const double seconds = 0.078 * std::pow(amps / 1.75, 2.0 / 3);
    const Power<> power = p.settings.rated * p.settings.rated / p.resistance;
    return {p.resistance, power, power * from_si<Time<>>(seconds)};
}

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

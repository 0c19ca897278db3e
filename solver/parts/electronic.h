// Electronic: a controller, radio or LED driver: constant power while its supply is good.
//   current   i = P/v above the knee; P/v_knee from the knee down to cut-out; nothing below; and a megohm's
//   leak
// The step at cut-out is a ramp of a fiftieth of it. A reversed supply draws nothing.
// Holds for: settled; the converter's own losses are in P. Source: common practice, no source.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct ElectronicSettings {
    Voltage<> cut_out{};
    Voltage<> knee{};
};

template <class P = double> struct Electronic {
    static constexpr std::string_view kind = "electronic";
    static constexpr bool linear = false;
    template <class S> using Own = Nothing;

    Power<P> power{};
    ElectronicSettings settings{};

    // ±15 %: common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"power", &Electronic::power, 0.15, true}};
    }
};

template <class P, class S> constexpr auto balance(const Electronic<P>& p, Voltage<S> v, const Nothing&) {
    using T = Mixed<P, S>;
    const Voltage<> knee = p.settings.knee, cut = p.settings.cut_out;
    const double ramp = 0.02 * si(cut);
    const Current<T> leak = from_si<Conductance<P>>(P(1e-6)) * v;
    if (plain(si(v)) >= si(knee)) return balanced<T>(Current<T>(p.power / v + leak));
    const Current<T> flat = p.power / knee * Ratio<S>(S(1.0));
    const S above = (si(v) - (si(cut) - ramp)) / ramp;
    if (plain(above) <= 0) return balanced<T>(leak);
    return balanced<T>(Current<T>((plain(above) >= 1 ? flat : Current<T>(flat * Ratio<S>(above))) + leak));
}

/// Which stretch: off, the ramp at cut-out, constant current, constant power.
inline int region(const Electronic<>& p, double volts, const Nothing&) {
    const double cut = si(p.settings.cut_out);
    return volts >= si(p.settings.knee) ? 3 : volts >= cut ? 2 : volts >= 0.98 * cut ? 1 : 0;
}

inline std::span<const FaultMode> faults(const Electronic<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::open, 3}};
    return modes;
}

inline void apply(Electronic<>&, FaultKind, double) {} // open is the circuit's doing

inline Electronic<> read_electronic(Entry& e) {
    Electronic<> p;
    p.power = e.needed<Power<>>("power", "power = \"18 W\"");
    p.settings.cut_out = e.value<Voltage<>>("cut_out", from_si<Voltage<>>(6.0)); // common practice, no source
    p.settings.knee = e.value<Voltage<>>("knee", p.settings.cut_out * 1.25);
    if (p.settings.knee < p.settings.cut_out)
        e.wrong("knee", "the knee is below the cut-out voltage", "knee = \"9 V\" with cut_out = \"6 V\"");
    return p;
}

} // namespace lostvolts

// Charger: an alternator or a regulated supply. `from` is the negative terminal, `to` the positive.
//   current   x = (v + V_reg) / R_droop, held between 0 (it takes no current back) and its limit
// Outside that range the current keeps a slope of one millionth of the droop's, so that the answer stays
// unique. Holds for: a regulator in its steady state. Source: common practice, no source (regulated source
// with droop).
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct ChargerSettings {};

template <class P = double> struct Charger {
    static constexpr std::string_view kind = "charger";
    static constexpr bool linear = false;
    template <class S> using Own = Nothing;

    Voltage<P> regulated{};
    Current<P> limit{};
    Resistance<P> droop{};
    Resistance<P> added{};
    ChargerSettings settings{};

    static constexpr auto parameters() {
        return std::tuple{Parameter{"regulated voltage", &Charger::regulated, 0.02, true},
                          Parameter{"current limit", &Charger::limit, 0.10},
                          Parameter{"resistance", &Charger::droop, 0.30},
                          Parameter{"added resistance", &Charger::added, 0}};
    }
};

template <class P, class S> constexpr auto balance(const Charger<P>& c, Voltage<S> v, const Nothing&) {
    constexpr double slack = 1e-6;
    using T = Mixed<P, S>;
    const Current<T> x = (v + c.regulated) / (c.droop + c.added);
    if (plain(si(x)) < 0) return balanced<T>(Current<T>(x * slack));
    if (plain(si(x)) > plain(si(c.limit))) return balanced<T>(Current<T>(c.limit + (x - c.limit) * slack));
    return balanced<T>(x);
}

/// Which straight stretch: nothing, regulating, at its limit.
inline int region(const Charger<>& c, double volts, const Nothing&) {
    const double x = (volts + si(c.regulated)) / si(c.droop + c.added);
    return x < 0 ? 0 : x > si(c.limit) ? 2 : 1;
}

inline std::span<const FaultMode> faults(const Charger<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::weak_battery, 2, 1, 300},
                                      FaultMode{FaultKind::open, 2}};
    return modes;
}

inline void apply(Charger<>& c, FaultKind kind, double size) {
    if (kind == FaultKind::weak_battery) c.added = from_si<Resistance<>>(size);
    if (kind == FaultKind::open) c.limit = from_si<Current<>>(0.0);
}

inline Charger<> read_charger(Entry& e) {
    Charger<> c;
    c.regulated = e.needed<Voltage<>>("regulated", "regulated = \"14.2 V\"");
    c.limit = e.needed<Current<>>("limit", "limit = \"60 A\"");
    c.droop = e.resistance("resistance", from_si<Resistance<>>(0.005)); // common practice, no source
    return c;
}

} // namespace lostvolts

// Relay: a contact between `from` and `to`, and the coil that works it between `coil_from` and `coil_to`.
//   contact   i = v / (R_contact + R_added) closed, 0 open
//   coil      i_coil = v_coil / R_coil; in time 0 = v_coil − R_coil·i_coil − d(L_coil·i_coil)/dt
// Closed when the coil gets its pull-in voltage, until it falls below drop-out: found together with the
// circuit (solver/network/relays.h). Holds for: a settled coil at one temperature. Source: [REL] data sheets:
// contact 3 mΩ typical, pull-in at most 60 %, drop-out at least 10 % of 12 V; coil 85 … 100 Ω, from memory.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"

namespace lostvolts {

struct RelaySettings {
    Voltage<> pull_in = from_si<Voltage<>>(7.2);
    Voltage<> drop_out = from_si<Voltage<>>(1.2);
    Inductance<> coil_inductance{}; ///< only matters in time
    bool closed = false;
    bool coil_open = false;
    Current<> rating{}; ///< of the contact, steady, as its maker states it; 0: not told
};

template <class P = double> struct Relay {
    static constexpr std::string_view kind = "relay";
    static constexpr bool linear = true;
    template <class S> using Own = Nothing;

    Resistance<P> contact{};
    Resistance<P> added{};
    Resistance<P> coil{};
    RelaySettings settings{};

    // contact ±60 %: wear; coil ±10 %: [REL] maker's tolerance.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"contact resistance", &Relay::contact, 0.60, true},
                          Parameter{"added resistance", &Relay::added, 0},
                          Parameter{"coil resistance", &Relay::coil, 0.10}};
    }
};

template <class P, class S> constexpr auto balance(const Relay<P>& r, Voltage<S> v, const Nothing&) {
    using T = Mixed<P, S>;
    if (!r.settings.closed) return balanced<T>(Current<T>{});
    return balanced<T>(ohmic(r.contact, r.added, v));
}

/// The relay's second branch.
template <class P, class S> constexpr auto coil_balance(const Relay<P>& r, Voltage<S> v) {
    using T = Mixed<P, S>;
    if (r.settings.coil_open) return balanced<T>(Current<T>{});
    return balanced<T>(v / r.coil);
}

/// The coil in time: closes the contact when R·|i| has come to pull-in, opens it below drop-out.
struct RelayCoil {
    template <class S> using Own = std::tuple<Current<S>>;

    Resistance<> resistance{};
    Inductance<> inductance{};
};

template <class S>
constexpr auto balance(const RelayCoil& c, const Voltage<S>& v, const std::tuple<Current<S>>& own) {
    const Current<S>& i = std::get<0>(own);
    return balanced<S>(i, row(v - c.resistance * i, c.inductance * i));
}

inline std::span<const FaultMode> faults(const Relay<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::high_resistance, 5, 1, 3000},
                                      FaultMode{FaultKind::open, 3}, FaultMode{FaultKind::open_coil, 1.5},
                                      FaultMode{FaultKind::stuck_closed, 0.5}};
    return modes;
}

inline void apply(Relay<>& r, FaultKind kind, double size) {
    if (kind == FaultKind::high_resistance) r.added = from_si<Resistance<>>(size);
    if (kind == FaultKind::open_coil) r.settings.coil_open = true;
    if (kind == FaultKind::stuck_closed) r.settings.closed = true;
}

inline Relay<> read_relay(Entry& e) {
    Relay<> r;
    r.contact = e.resistance("contact", from_si<Resistance<>>(5e-3));
    r.settings.rating = e.value("rating", Current<>{});
    if (!e.has("coil")) e.missing("coil", "coil = \"85 ohm\"");
    r.coil = e.resistance("coil", from_si<Resistance<>>(85.0));
    r.settings.pull_in = e.value<Voltage<>>("pull_in", r.settings.pull_in);
    r.settings.drop_out = e.value<Voltage<>>("drop_out", r.settings.pull_in / 6.0);
    // An electrical time constant of 5 ms when not told: common practice, no source.
    r.settings.coil_inductance =
        e.value<Inductance<>>("coil_inductance", from_si<Inductance<>>(0.005 * si(r.coil)));
    if (r.settings.drop_out >= r.settings.pull_in)
        e.wrong("drop_out", "the relay would drop out at or above its pull-in voltage",
                "drop_out = \"1.2 V\"");
    return r;
}

} // namespace lostvolts

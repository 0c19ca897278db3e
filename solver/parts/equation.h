// The shape that every part's equation has.
//
// A part sits between two points. `balance(part, v, own)` gets the voltage v = V(from) − V(to) across it and
// its own unknowns (a motor's current and speed, a capacitor's charge voltage; most parts have none) and
// gives
//   current   what enters at `from` and leaves at `to`, amperes
//   rows      one for each own unknown: a residual, and what it stores. The DC answer has residual = 0;
//             the start-up has residual = d(stored)/dt.
// It is a template over two scalars: P of the parameters, S of the unknowns. The DC solve calls it with
// (double, Dual), the sensitivities with (Dual, double): nobody derives a slope by hand.
#pragma once

#include <string_view>
#include <tuple>
#include <type_traits>

#include "solver/units/quantity.h"
#include "solver/units/slope.h"

namespace lostvolts {

/// The scalar that a product of the two has.
template <class P, class S> using Mixed = decltype(P{} * S{});

template <class Residual, class Stored> struct Row {
    Residual residual;
    Stored stored;
};

/// A row with a store: the residual is the store's rate, which the compiler checks by dimension.
template <class U, class S, class W, class T>
constexpr auto row(const Quantity<U, S>& residual, const Quantity<W, T>& stored) {
    static_assert(std::is_same_v<unit::Per<W, unit::si::time>, U>,
                  "a row's residual is the rate of its store");
    return Row<Quantity<U, S>, Quantity<W, T>>{residual, stored};
}

/// A row that holds at every instant: nothing is stored.
template <class U, class S> constexpr auto row(const Quantity<U, S>& residual) {
    return Row<Quantity<U, S>, std::tuple<>>{residual, {}};
}

template <class S, class... Rows> struct Balance {
    Current<S> current;
    std::tuple<Rows...> rows;
};

template <class S, class... Rows>
constexpr Balance<S, Rows...> balanced(const Current<S>& current, Rows... rows) {
    return {current, {rows...}};
}

/// Own unknowns of a part that has none.
using Nothing = std::tuple<>;

/// One number of a part's equation, by name, with how far a healthy one strays.
template <class Member> struct Parameter {
    std::string_view name;
    Member member;
    double tolerance;  ///< share of the value, half-width of 95 %; 0: known exactly, or a fault's own number
    bool main = false; ///< the file's `tolerance` key speaks of this one
};
template <class Member> Parameter(std::string_view, Member, double, bool) -> Parameter<Member>;
template <class Member> Parameter(std::string_view, Member, double) -> Parameter<Member>;

/// No joint conducts better than this, ten micro-ohms: what "0 ohm" in a file is taken as, so that a zero
/// does not hide which way current flows. Common practice, no source: a bolted busbar joint is tens of
/// micro-ohms.
inline constexpr double least_ohms = 10e-6;

/// Ohm's law with a fault's resistance in series.
template <class P, class S>
constexpr auto ohmic(const Resistance<P>& r, const Resistance<P>& added, const Voltage<S>& v) {
    return v / (r + added);
}

} // namespace lostvolts

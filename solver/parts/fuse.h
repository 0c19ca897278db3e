// Fuse: a thin element that warms with its current.
//   element   0 = v − (R_cold·(1 + h·(i/I_rating)²) + R_added)·i        volts; h makes the drop at rating the
//   maker's current   i
// Holds for: steady current up to the rating. It does not open by itself here; what would open it is a
// caution. Source: cold resistance and drop at rating of blade fuses, solver/reference (maker data, from
// memory). With `resistance` in the file nothing comes from the table: h = 0.
#pragma once

#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"
#include "solver/reference/tables.h"

namespace lostvolts {

struct FuseSettings {
    Current<> rating{};
    double heating = 0; ///< h
    bool closed = true;
};

template <class P = double> struct Fuse {
    static constexpr std::string_view kind = "fuse";
    static constexpr bool linear = false;
    template <class S> using Own = std::tuple<Current<S>>;

    Resistance<P> cold{};
    Resistance<P> added{};
    FuseSettings settings{};

    // ±20 %: makers state typical values only. Common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"resistance", &Fuse::cold, 0.20, true},
                          Parameter{"added resistance", &Fuse::added, 0}};
    }
};

template <class P, class S>
constexpr auto balance(const Fuse<P>& f, Voltage<S> v, const std::tuple<Current<S>>& own) {
    const Current<S>& i = std::get<0>(own);
    using T = Mixed<P, S>;
    const Ratio<S> load = f.settings.heating > 0 ? Ratio<S>(i / f.settings.rating) : Ratio<S>(S(0.0));
    const Resistance<T> r = f.cold * (1.0 + f.settings.heating * load * load) + f.added;
    return balanced<T>(Current<T>(i * Ratio<P>(P(1.0))), row(v - r * i));
}

inline std::tuple<double> start(const Fuse<>& f) { return {0.5 * si(f.settings.rating)}; }

inline std::span<const FaultMode> faults(const Fuse<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::open, 4},
                                      FaultMode{FaultKind::high_resistance, 3, 1, 3000}};
    return modes;
}

inline void apply(Fuse<>& f, FaultKind kind, double size) {
    if (kind == FaultKind::high_resistance) f.added = from_si<Resistance<>>(size);
}

inline Fuse<> read_fuse(Entry& e) {
    Fuse<> f;
    const auto ohms = e.maybe_resistance("resistance");
    const auto rating = e.maybe<Current<>>("rating");
    if (!ohms && !e.has("rating")) e.missing("rating", "rating = \"25 A\"");
    f.settings.rating = rating.value_or(Current<>{});
    f.cold = ohms.value_or(from_si<Resistance<>>(1.0));
    if (!ohms && rating) {
        const FuseElement element = blade_fuse(*rating);
        f.cold = element.cold;
        f.settings.heating = std::max(0.0, si(element.drop_at_rating) / (si(*rating) * si(element.cold)) - 1);
    }
    return f;
}

} // namespace lostvolts

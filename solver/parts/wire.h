// Wire: a length of conductor; a chassis return is a wire too.
//   current   i = v / (R + R_added)         R = r₂₀·length·(1 + α(T − 20 °C))
// Holds for: a uniform temperature along it; self-heating is reported by `size`, never silently added here.
// Source: IEC 60228 and ASTM B258 resistances, IEC 60028 coefficient, in solver/reference.
#pragma once

#include <algorithm>
#include <array>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"
#include "solver/reference/tables.h"

namespace lostvolts {

struct WireSettings {
    WireSize size{};
    Length<> length{};
    std::string_view metal = "copper";
    Temperature<> temperature = celsius(25);
    bool sized = false; ///< false: the file gave the resistance itself
};

template <class P = double> struct Wire {
    static constexpr std::string_view kind = "wire";
    static constexpr bool linear = true;
    template <class S> using Own = Nothing;

    Resistance<P> resistance{};
    Resistance<P> added{};
    WireSettings settings{};

    // ±8 %: the tables are maxima; makers run up to that much below, and lengths are paced. Common practice.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"resistance", &Wire::resistance, 0.08, true},
                          Parameter{"added resistance", &Wire::added, 0}};
    }
};

template <class P, class S> constexpr auto balance(const Wire<P>& w, Voltage<S> v, const Nothing&) {
    return balanced<Mixed<P, S>>(ohmic(w.resistance, w.added, v));
}

inline std::span<const FaultMode> faults(const Wire<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::high_resistance, 1.0, 1, 3000},
                                      FaultMode{FaultKind::open, 1.0},
                                      FaultMode{FaultKind::short_to_ground, 0.5, 0.01, 5}};
    return modes;
}

inline void apply(Wire<>& w, FaultKind kind, double size) {
    if (kind == FaultKind::high_resistance) w.added = from_si<Resistance<>>(size);
}

/// Resistance of a sized wire at a temperature.
inline Resistance<> wire_resistance(const WireSize& size, Length<> length, const Metal& metal,
                                    Temperature<> t) {
    const Ratio<> growth = 1.0 + metal.coefficient * (t - celsius(20));
    return conductor_resistance(size, metal).at_20_degC * length * growth;
}

inline Wire<> read_wire(Entry& e) {
    Wire<> w;
    WireSettings& s = w.settings;
    s.temperature = e.value("temperature", e.surroundings);
    static constexpr std::array<std::string_view, 3> names{"copper", "aluminium", "steel"};
    const Metal& metal = *find_metal(e.word("material", names, "copper"));
    s.metal = metal.name;
    const auto size = e.wire_size("size");
    const auto length = e.maybe<Length<>>("length");
    if (size) s.size = *size;
    s.length = length.value_or(Length<>{});
    s.sized = size && length;
    if (const auto ohms = e.maybe_resistance("resistance")) {
        w.resistance = *ohms;
    } else if (s.sized) {
        w.resistance = std::max(wire_resistance(s.size, s.length, metal, s.temperature),
                                from_si<Resistance<>>(least_ohms));
    } else {
        w.resistance = from_si<Resistance<>>(1.0);
        if (!e.has("size") && !e.has("resistance")) e.missing("size", "size = \"2.5 mm2\"");
        if (!e.has("length") && !e.has("resistance")) e.missing("length", "length = \"1.6 m\"");
    }
    return w;
}

} // namespace lostvolts

// Battery: an emf behind its internal resistance. `from` is the negative post, `to` the positive.
//   current   i = (v + E) / (R + R_added)       v = V(−) − V(+); i > 0 discharges
// Holds for: one operating point; the fall of emf during a start is in the resistance.
// Source: Thevenin's theorem; rest voltage and cold-cranking resistance from solver/reference (battery rows).
#pragma once

#include <algorithm>
#include <array>
#include <cmath>

#include "solver/parts/entry.h"
#include "solver/parts/equation.h"
#include "solver/parts/fault.h"
#include "solver/reference/tables.h"

namespace lostvolts {

struct BatterySettings {
    int cells = 6;
    Temperature<> temperature = celsius(25);
};

template <class P = double> struct Battery {
    static constexpr std::string_view kind = "battery";
    static constexpr bool linear = true;
    template <class S> using Own = Nothing;

    Voltage<P> emf{};
    Resistance<P> resistance{};
    Resistance<P> added{};
    BatterySettings settings{};

    // emf ±1.5 %: charge that was not measured; resistance ±30 %: age. Common practice, no source.
    static constexpr auto parameters() {
        return std::tuple{Parameter{"emf", &Battery::emf, 0.015, true},
                          Parameter{"resistance", &Battery::resistance, 0.30},
                          Parameter{"added resistance", &Battery::added, 0}};
    }
};

template <class P, class S> constexpr auto balance(const Battery<P>& b, Voltage<S> v, const Nothing&) {
    return balanced<Mixed<P, S>>((v + b.emf) / (b.resistance + b.added));
}

inline std::span<const FaultMode> faults(const Battery<>&) {
    static constexpr std::array modes{FaultMode{FaultKind::low_charge, 4, 0.02, 0.60},
                                      FaultMode{FaultKind::weak_battery, 4, 1, 300}};
    return modes;
}

inline void apply(Battery<>& b, FaultKind kind, double size) {
    if (kind == FaultKind::low_charge)
        b.emf = lead_acid_rest_voltage(size, b.settings.temperature, b.settings.cells);
    if (kind == FaultKind::weak_battery) b.added = from_si<Resistance<>>(size);
}

inline Battery<> read_battery(Entry& e) {
    Battery<> b;
    b.settings.temperature = e.value("temperature", e.surroundings, Range::positive);
    const auto emf = e.maybe<Voltage<>>("emf");
    const auto charge = e.maybe<Ratio<>>("charge", Range::not_negative);
    b.settings.cells =
        e.count("cells", 1, 400, emf ? std::max(1, static_cast<int>(std::lround(si(*emf) / 2.1))) : 6);
    if (emf && charge) e.wrong("charge", "emf and charge are both given", "keep one of them");
    if (charge && si(*charge) > 1) e.wrong("charge", "charge is above 100 %", "charge = \"85 %\"");
    const double share = charge ? std::min(1.0, si(*charge)) : 1.0;
    b.emf = emf.value_or(lead_acid_rest_voltage(share, b.settings.temperature, b.settings.cells));

    const auto ohms = e.maybe_resistance("resistance");
    const auto cranking = e.maybe<Current<>>("cold_cranking");
    if (ohms && cranking)
        e.wrong("cold_cranking", "resistance and cold_cranking are both given", "keep one of them");
    // 10 mΩ for 12 V when nothing is said: a medium starter battery. Common practice, no source.
    const Resistance<> usual = from_si<Resistance<>>(0.010 * b.settings.cells / 6);
    b.resistance = ohms ? *ohms : cranking ? cold_cranking_resistance(*cranking, b.settings.cells) : usual;
    return b;
}

} // namespace lostvolts

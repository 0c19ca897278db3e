// Every kind of part as it is in time, as plain numbers: what enters it, its rows, their slopes and what each
// own unknown stores. The texts are those of solver/parts; parts that only conduct in a straight line are
// not here, the network's conductances are all there is to them.
#pragma once

#include <array>
#include <optional>
#include <variant>

#include "solver/parts/all.h"
#include "solver/parts/commutation.h"
#include "solver/parts/contact.h"

namespace lostvolts {

inline constexpr int most_in_time = 3; ///< own unknowns of a part in time, at the most
using InTime = std::array<double, most_in_time>;

/// A battery whose emf follows a course: straight lines between told instants.
struct Supply {
    template <class S> using Own = Nothing;
    Voltage<> emf{};
    Resistance<> resistance{};
};
template <class S> constexpr auto balance(const Supply& b, const Voltage<S>& v, const Nothing&) {
    return balanced<S>(Current<S>((v + b.emf) / b.resistance));
}

using TimeLaw = std::variant<Capacitor<>, Charger<>, Commutating, Contact, Diode<>, Electronic<>, Filament,
                             Fuse<>, Motor<>, RelayCoil, Solenoid<>, Supply>;

/// The law of a part in time; nothing for one that only conducts.
std::optional<TimeLaw> in_time(const AnyPart& part);

int own_count(const TimeLaw& law);
InTime at_standstill(const TimeLaw& law); ///< own unknowns of a part that has long been without volts

/// Current and rows at a point.
struct TimeValue {
    double amps = 0;
    InTime row{};
};
/// The same with slopes: _v against the volts across, _x against own unknowns. `stores[k]` is the slope of
/// what row k stores against unknown k: an inductance, an inertia …; 0 where the row holds at every instant.
struct TimeSlopes {
    TimeValue value;
    double amps_v = 0;
    InTime amps_x{};
    InTime row_v{};
    std::array<InTime, most_in_time> row_x{};
    InTime stores{};
};
void look(const TimeLaw& law, double volts, const double* own, TimeValue& at);
void look(const TimeLaw& law, double volts, const double* own, TimeSlopes& at);
/// As region_of() of the kernel.
int region_of(const TimeLaw& law, double volts, const double* own);

/// Where the power taken in goes at an instant: what is stored rises by `storing`, `work` leaves a shaft
/// against its load, the rest is heat.
struct PowerSplit {
    double in = 0; ///< v·i
    double storing = 0;
    double work = 0;
};
PowerSplit power_of(const TimeLaw& law, double volts, const double* own);
double stored_energy(const TimeLaw& law, const double* own); ///< joules

} // namespace lostvolts

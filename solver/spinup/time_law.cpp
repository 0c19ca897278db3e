#include "solver/spinup/time_law.h"

namespace lostvolts {
namespace {

template <class Law> using OwnOf = typename Law::template Own<double>;
template <class Law> inline constexpr int own_of = static_cast<int>(std::tuple_size_v<OwnOf<Law>>);

template <class RowT> constexpr bool stores = !std::is_same_v<decltype(RowT::stored), std::tuple<>>;

template <class Own, class Make, std::size_t... K> Own own_from(const Make& make, std::index_sequence<K...>) {
    return Own{std::tuple_element_t<K, Own>::from_value(make(static_cast<int>(K)))...};
}

template <class S, class Law> auto balance_at(const Law& law, const S& volts, const auto& make) {
    using Own = typename Law::template Own<S>;
    return balance(law, from_si<Voltage<S>>(volts),
                   own_from<Own>(make, std::make_index_sequence<std::tuple_size_v<Own>>{}));
}

template <class Law> void value_of(const Law& law, double volts, const double* own, TimeValue& at) {
    const auto b = balance_at<double>(law, volts, [&](int k) { return own[k]; });
    at.amps = si(b.current);
    if constexpr (own_of < Law >> 0) at.row[0] = si(std::get<0>(b.rows).residual);
    if constexpr (own_of < Law >> 1) at.row[1] = si(std::get<1>(b.rows).residual);
    if constexpr (own_of < Law >> 2) at.row[2] = si(std::get<2>(b.rows).residual);
}

template <class Law> void slopes_of(const Law& law, double volts, const double* own, TimeSlopes& at) {
    constexpr int n = own_of<Law>;
    using D = Dual<1 + n>;
    const auto b = balance_at<D>(law, D::input(volts, 0), [&](int k) { return D::input(own[k], k + 1); });
    const D amps = si(b.current);
    at.value.amps = amps.value;
    at.amps_v = amps.slope[0];
    const auto take = [&](auto k) {
        constexpr std::size_t K = decltype(k)::value;
        const auto& r = std::get<K>(b.rows);
        const D residual = si(r.residual);
        at.value.row[K] = residual.value;
        at.row_v[K] = residual.slope[0];
        for (std::size_t j = 0; j < n; ++j) at.row_x[K][j] = residual.slope[1 + j];
        at.amps_x[K] = amps.slope[1 + K];
        if constexpr (stores<std::decay_t<decltype(r)>>)
            at.stores[K] = D(si(r.stored)).slope[1 + K];
        else
            at.stores[K] = 0;
    };
    if constexpr (n > 0) take(std::integral_constant<std::size_t, 0>{});
    if constexpr (n > 1) take(std::integral_constant<std::size_t, 1>{});
    if constexpr (n > 2) take(std::integral_constant<std::size_t, 2>{});
}

// How a kind of part is in time. One without a line here and without own unknowns only conducts.
TimeLaw law_of(const Capacitor<>& p) { return p; }
TimeLaw law_of(const Charger<>& p) { return p; }
TimeLaw law_of(const Diode<>& p) { return p; }
TimeLaw law_of(const Electronic<>& p) { return p; }
TimeLaw law_of(const Fuse<>& p) { return p; }
TimeLaw law_of(const Lamp<>& p) { return filament(p); }
TimeLaw law_of(const Motor<>& p) { return p; }
TimeLaw law_of(const Solenoid<>& p) { return p; }

double squared(double x) { return x * x; }

/// What the unknowns of an electrical or turning part hold, ½·L·i² and the like.
double half_squares(const TimeLaw& law, const double* own, int count) {
    TimeSlopes at;
    look(law, 0, own, at);
    double joules = 0;
    for (int k = 0; k < count; ++k) joules += 0.5 * at.stores[static_cast<std::size_t>(k)] * squared(own[k]);
    return joules;
}

/// Unknowns whose row and itself make power; the angle of a commutating motor doesn't.
int energetic(const TimeLaw& law) { return std::min(2, own_count(law)); }

const Motor<>* motor_in(const TimeLaw& law) {
    if (const auto* m = std::get_if<Motor<>>(&law)) return m;
    if (const auto* c = std::get_if<Commutating>(&law)) return &c->motor;
    return nullptr;
}

} // namespace

std::optional<TimeLaw> in_time(const AnyPart& part) {
    return std::visit(
        [](const auto& p) -> std::optional<TimeLaw> {
            using Part = std::decay_t<decltype(p)>;
            if constexpr (requires { law_of(p); }) return law_of(p);
            static_assert(
                requires { law_of(p); } ||
                    (Part::linear && std::is_same_v<typename Part::template Own<double>, Nothing>),
                "a part that bends or stores lacks its law_of() line");
            return std::nullopt;
        },
        part);
}

int own_count(const TimeLaw& law) {
    return std::visit([](const auto& l) { return own_of<std::decay_t<decltype(l)>>; }, law);
}

InTime at_standstill(const TimeLaw& law) {
    InTime own{};
    if (const auto* lamp = std::get_if<Filament>(&law)) own[0] = std::get<0>(start(*lamp));
    if (const auto* c = std::get_if<Commutating>(&law)) own[2] = (c->sector + 0.5) * c->pitch();
    return own;
}

void look(const TimeLaw& law, double volts, const double* own, TimeValue& at) {
    std::visit([&](const auto& l) { value_of(l, volts, own, at); }, law);
}

void look(const TimeLaw& law, double volts, const double* own, TimeSlopes& at) {
    std::visit([&](const auto& l) { slopes_of(l, volts, own, at); }, law);
}

int region_of(const TimeLaw& law, double volts, const double* own) {
    return std::visit(
        [&](const auto& l) {
            constexpr int n = own_of<std::decay_t<decltype(l)>>;
            if constexpr (n == 0 && requires { region(l, volts, Nothing{}); })
                return region(l, volts, Nothing{});
            if constexpr (n == 2 && requires { region(l, volts, std::tuple<double, double>{}); })
                return region(l, volts, std::tuple{own[0], own[1]});
            if constexpr (n == 3 && requires { region(l, volts, std::tuple<double, double, double>{}); })
                return region(l, volts, std::tuple{own[0], own[1], own[2]});
            return 0;
        },
        law);
}

PowerSplit power_of(const TimeLaw& law, double volts, const double* own) {
    TimeValue at;
    look(law, volts, own, at);
    PowerSplit p{volts * at.amps, 0, 0};
    if (std::holds_alternative<Filament>(law)) {
        p.storing = at.row[0];
        return p;
    }
    if (std::holds_alternative<Fuse<>>(law)) return p; // its own unknown stores nothing
    for (int k = 0; k < energetic(law); ++k) p.storing += own[k] * at.row[static_cast<std::size_t>(k)];
    if (const Motor<>* m = motor_in(law)) {
        if (m->settings.locked) { // whatever holds the rotor takes its power as heat
            p.storing = own[0] * at.row[0] + own[1] * at.row[1];
            return p;
        }
        // Electrical power that turns the shaft, k·i·ω, less what spins it up.
        double k = si(m->constant);
        if (const auto* c = std::get_if<Commutating>(&law)) k = si(motor_at(*c, own[2]).constant);
        p.work = k * own[0] * own[1] - own[1] * at.row[1];
    }
    return p;
}

double stored_energy(const TimeLaw& law, const double* own) {
    if (const auto* lamp = std::get_if<Filament>(&law)) return si(lamp->heat) * own[0];
    return half_squares(law, own, energetic(law));
}

} // namespace lostvolts

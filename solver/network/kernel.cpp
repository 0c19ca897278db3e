#include "solver/network/kernel.h"

#include <cmath>

namespace lostvolts {
namespace {

using OwnArray = std::array<double, most_own>;

template <class PartT> using OwnOf = typename PartT::template Own<double>;
template <class PartT> inline constexpr int own_of = static_cast<int>(std::tuple_size_v<OwnOf<PartT>>);

/// The part's own unknowns as quantities over Dual, unknown k carrying slope k + first.
template <class D, class Own, std::size_t... K>
Own own_inputs(const OwnArray& own, int first, std::index_sequence<K...>) {
    return Own{std::tuple_element_t<K, Own>::from_value(D::input(own[K], first + static_cast<int>(K)))...};
}

template <class Own, std::size_t... K> Own own_values(const OwnArray& own, std::index_sequence<K...>) {
    return Own{std::tuple_element_t<K, Own>::from_value(own[K])...};
}

/// The part with each of its numbers carrying its own slope.
template <template <class> class PartT, class D, std::size_t... K>
PartT<D> number_inputs(const PartT<double>& part, std::index_sequence<K...>) {
    PartT<D> seeded{};
    seeded.settings = part.settings;
    const auto from = PartT<double>::parameters();
    const auto to = PartT<D>::parameters();
    const auto seed = [&](auto k) {
        auto& field = seeded.*(std::get<k>(to).member);
        using Field = std::decay_t<decltype(field)>;
        field = Field::from_value(D::input(si(part.*(std::get<k>(from).member)), static_cast<int>(k)));
    };
    (seed(std::integral_constant<std::size_t, K>{}), ...);
    return seeded;
}

/// Solves the n×n system m·x = b in place, n ≤ 2. A singular one leaves x at 0: the part then holds still.
template <int N> void solve_small(const double (&m)[most_own][most_own], double* b) {
    if constexpr (N == 1) b[0] = m[0][0] != 0 ? b[0] / m[0][0] : 0;
    if constexpr (N == 2) {
        const double det = m[0][0] * m[1][1] - m[0][1] * m[1][0];
        const double x = det != 0 ? (b[0] * m[1][1] - m[0][1] * b[1]) / det : 0;
        b[1] = det != 0 ? (m[0][0] * b[1] - b[0] * m[1][0]) / det : 0;
        b[0] = x;
    }
}

template <class RowT> constexpr bool stores = !std::is_same_v<decltype(RowT::stored), std::tuple<>>;

/// Everything about a part at a point: current, rows, and slopes against v and own unknowns.
template <class PartT> struct Local {
    static constexpr int n = own_of<PartT>;
    double amps = 0, amps_v = 0;
    double amps_x[most_own]{};
    double row[most_own]{}, row_v[most_own]{};
    double row_x[most_own][most_own]{};
    double stored[most_own]{};
};

template <class PartT>
Local<PartT> look(const PartT& part, double volts, const OwnArray& own, const Pace& pace) {
    constexpr int n = own_of<PartT>;
    using D = Dual<1 + n>;
    using Own = typename PartT::template Own<D>;
    const Own x = own_inputs<D, Own>(own, 1, std::make_index_sequence<static_cast<std::size_t>(n)>{});
    const auto b = balance(part, from_si<Voltage<D>>(D::input(volts, 0)), x);
    Local<PartT> at;
    at.amps = si(b.current).value;
    at.amps_v = si(b.current).slope[0];
    const auto take = [&](auto k) {
        constexpr auto K = decltype(k)::value;
        const auto& r = std::get<K>(b.rows);
        D value = si(r.residual);
        if constexpr (stores<std::decay_t<decltype(r)>>) {
            at.stored[K] = si(r.stored).value;
            if (pace.per_second > 0) value -= (si(r.stored) - pace.before[K]) * pace.per_second;
        }
        at.row[K] = value.value;
        at.row_v[K] = value.slope[0];
        for (int j = 0; j < n; ++j) at.row_x[K][j] = value.slope[static_cast<std::size_t>(1 + j)];
        at.amps_x[K] = si(b.current).slope[1 + K];
    };
    if constexpr (n > 0) take(std::integral_constant<std::size_t, 0>{});
    if constexpr (n > 1) take(std::integral_constant<std::size_t, 1>{});
    return at;
}

template <class PartT> Line line_of(const PartT& part, double volts, const OwnArray& own, const Pace& pace) {
    const auto at = look(part, volts, own, pace);
    constexpr int n = own_of<PartT>;
    Line line;
    line.amps = at.amps;
    line.siemens = at.amps_v;
    if constexpr (n > 0) {
        double shift[most_own]{}, slope[most_own]{};
        for (int k = 0; k < n; ++k) {
            shift[k] = -at.row[k];
            slope[k] = -at.row_v[k];
        }
        solve_small<n>(at.row_x, shift);
        solve_small<n>(at.row_x, slope);
        line.own = own;
        for (int k = 0; k < n; ++k) {
            const auto K = static_cast<std::size_t>(k);
            line.own[K] += shift[k];
            line.own_slope[K] = slope[k];
            line.amps += at.amps_x[k] * shift[k];
            line.siemens += at.amps_x[k] * slope[k];
        }
    }
    return line;
}

template <template <class> class PartT>
void slopes_of(const PartT<double>& part, double volts, const OwnArray& own, NumberSlopes& s) {
    constexpr auto count = std::tuple_size_v<decltype(PartT<double>::parameters())>;
    static_assert(count <= most_numbers);
    constexpr int n = own_of<PartT<double>>;
    using D = Dual<static_cast<int>(count)>;
    using Own = OwnOf<PartT<double>>;
    const PartT<D> seeded = number_inputs<PartT, D>(part, std::make_index_sequence<count>{});
    const Own x = own_values<Own>(own, std::make_index_sequence<static_cast<std::size_t>(n)>{});
    const auto b = balance(seeded, from_si<Voltage<double>>(volts), x);
    s.count = static_cast<int>(count);
    for (std::size_t j = 0; j < count; ++j) s.amps[j] = si(b.current).slope[j];
    if constexpr (n > 0) {
        const auto at = look(part, volts, own, {});
        for (std::size_t j = 0; j < count; ++j) {
            double shift[most_own]{};
            shift[0] = -si(std::get<0>(b.rows).residual).slope[j];
            if constexpr (n > 1) shift[1] = -si(std::get<1>(b.rows).residual).slope[j];
            solve_small<n>(at.row_x, shift);
            for (int k = 0; k < n; ++k) {
                s.own[static_cast<std::size_t>(k)][j] = shift[k];
                s.amps[j] += at.amps_x[k] * shift[k];
            }
        }
    }
}

template <class PartT> OwnArray start_here(const PartT& part) {
    OwnArray own{};
    if constexpr (requires { start(part); }) {
        constexpr int n = own_of<PartT>;
        const auto told = start(part);
        own[0] = std::get<0>(told);
        if constexpr (n > 1) own[1] = std::get<1>(told);
    }
    return own;
}

} // namespace

int own_count(const AnyPart& part) {
    return std::visit([](const auto& p) { return own_of<std::decay_t<decltype(p)>>; }, part);
}

bool is_linear(const AnyPart& part) {
    return std::visit([](const auto& p) { return std::decay_t<decltype(p)>::linear; }, part);
}

OwnArray start_of(const AnyPart& part) {
    return std::visit([](const auto& p) { return start_here(p); }, part);
}

Line line_at(const AnyPart& part, double volts, const OwnArray& own, const Pace& pace) {
    return std::visit([&](const auto& p) { return line_of(p, volts, own, pace); }, part);
}

int region_of(const AnyPart& part, double volts, const OwnArray& own) {
    return std::visit(
        [&](const auto& p) {
            using PartT = std::decay_t<decltype(p)>;
            constexpr auto n = std::tuple_size_v<OwnOf<PartT>>;
            if constexpr (n == 0 && requires { region(p, volts, Nothing{}); })
                return region(p, volts, Nothing{});
            if constexpr (n == 2 && requires { region(p, volts, std::tuple<double, double>{}); })
                return region(p, volts, std::tuple<double, double>{own[0], own[1]});
            return 0;
        },
        part);
}

std::array<double, most_own> stored_at(const AnyPart& part, double volts, const OwnArray& own) {
    return std::visit(
        [&](const auto& p) {
            const auto at = look(p, volts, own, {});
            return OwnArray{at.stored[0], at.stored[1]};
        },
        part);
}

void number_slopes(const AnyPart& part, double volts, const OwnArray& own, NumberSlopes& slopes) {
    std::visit([&](const auto& p) { slopes_of(p, volts, own, slopes); }, part);
}

Line coil_line(const Relay<>& relay) {
    const auto b = coil_balance(relay, from_si<Voltage<Dual<1>>>(Dual<1>::input(0.0, 0)));
    return {.amps = si(b.current).value, .siemens = si(b.current).slope[0], .own = {}, .own_slope = {}};
}

void coil_number_slopes(const Relay<>& relay, double volts, NumberSlopes& s) {
    constexpr auto count = std::tuple_size_v<decltype(Relay<>::parameters())>;
    using D = Dual<static_cast<int>(count)>;
    const auto seeded = number_inputs<Relay, D>(relay, std::make_index_sequence<count>{});
    const auto b = coil_balance(seeded, from_si<Voltage<double>>(volts));
    s.count = static_cast<int>(count);
    for (std::size_t j = 0; j < count; ++j) s.amps[j] = si(b.current).slope[j];
}

} // namespace lostvolts

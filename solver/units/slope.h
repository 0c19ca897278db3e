// Automatic differentiation, forward mode: a Dual is a value together with its slopes against N chosen
// inputs. A part's equation written once for doubles gives its exact Jacobian when it is handed Duals.
#pragma once

#include <array>
#include <cmath>

#include "solver/units/quantity.h"

namespace lostvolts {

template <int N> struct Dual {
    double value = 0;
    std::array<double, N> slope{};

    constexpr Dual() = default;
    constexpr Dual(double v) : value(v) {}

    /// The k-th input itself: slope 1 against input k.
    static constexpr Dual input(double v, int k) {
        Dual d(v);
        d.slope[static_cast<std::size_t>(k)] = 1;
        return d;
    }

    /// f(x) given f and f' at x: the chain rule, in one place.
    constexpr Dual chain(double f, double df) const {
        Dual r(f);
        for (int k = 0; k < N; ++k) r.slope[k] = df * slope[k];
        return r;
    }

    constexpr Dual& operator+=(const Dual& b) { return *this = *this + b; }
    constexpr Dual& operator-=(const Dual& b) { return *this = *this - b; }

    friend constexpr Dual operator+(const Dual& a) { return a; }
    friend constexpr Dual operator-(const Dual& a) { return a.chain(-a.value, -1); }
    friend constexpr Dual operator+(Dual a, const Dual& b) {
        a.value += b.value;
        for (int k = 0; k < N; ++k) a.slope[k] += b.slope[k];
        return a;
    }
    friend constexpr Dual operator-(Dual a, const Dual& b) {
        a.value -= b.value;
        for (int k = 0; k < N; ++k) a.slope[k] -= b.slope[k];
        return a;
    }
    friend constexpr Dual operator*(const Dual& a, const Dual& b) {
        Dual r(a.value * b.value);
        for (int k = 0; k < N; ++k) r.slope[k] = a.slope[k] * b.value + a.value * b.slope[k];
        return r;
    }
    friend constexpr Dual operator/(const Dual& a, const Dual& b) {
        Dual r(a.value / b.value);
        for (int k = 0; k < N; ++k) r.slope[k] = (a.slope[k] - r.value * b.slope[k]) / b.value;
        return r;
    }
    friend constexpr Dual operator+(const Dual& a, double b) { return a + Dual(b); }
    friend constexpr Dual operator+(double a, const Dual& b) { return Dual(a) + b; }
    friend constexpr Dual operator-(const Dual& a, double b) { return a - Dual(b); }
    friend constexpr Dual operator-(double a, const Dual& b) { return Dual(a) - b; }
    friend constexpr Dual operator*(const Dual& a, double b) { return a.chain(a.value * b, b); }
    friend constexpr Dual operator*(double a, const Dual& b) { return b.chain(a * b.value, a); }
    friend constexpr Dual operator/(const Dual& a, double b) { return a.chain(a.value / b, 1 / b); }
    friend constexpr Dual operator/(double a, const Dual& b) { return Dual(a) / b; }

    friend constexpr bool operator<(const Dual& a, const Dual& b) { return a.value < b.value; }
    friend constexpr bool operator>(const Dual& a, const Dual& b) { return a.value > b.value; }
    friend constexpr bool operator<=(const Dual& a, const Dual& b) { return a.value <= b.value; }
    friend constexpr bool operator>=(const Dual& a, const Dual& b) { return a.value >= b.value; }
    friend constexpr bool operator==(const Dual& a, const Dual& b) { return a.value == b.value; }
};

// A plain number times a quantity over Dual, and the other way round (Boost.Units itself only takes equal
// scalars).
template <class U, int N> auto operator*(const Quantity<U, Dual<N>>& q, double x) {
    return Quantity<U, Dual<N>>::from_value(q.value() * x);
}
template <class U, int N> auto operator*(double x, const Quantity<U, Dual<N>>& q) { return q * x; }
template <class U, int N> auto operator*(const Quantity<U, double>& q, const Dual<N>& x) {
    return Quantity<U, Dual<N>>::from_value(q.value() * x);
}
template <int N> auto operator+(double x, const Ratio<Dual<N>>& q) {
    return Ratio<Dual<N>>::from_value(x + q.value());
}

/// The number behind a scalar: itself, or a Dual's value.
constexpr double plain(double x) { return x; }
template <int N> constexpr double plain(const Dual<N>& x) { return x.value; }

inline double power(double x, double n) { return std::pow(x, n); }
template <int N> Dual<N> power(const Dual<N>& x, double n) {
    const double f = std::pow(x.value, n);
    return x.chain(f, x.value == 0 ? 0 : n * f / x.value);
}

/// -1 … 1: x/width inside ±width, its sign outside. The sign function, with a place to stand at zero.
template <class S> constexpr S soft_sign(const S& x, double width) {
    if (plain(x) >= width) return S(1.0);
    if (plain(x) <= -width) return S(-1.0);
    return x / width;
}

/// |x|, with slope 0 at 0.
template <class S> constexpr S magnitude(const S& x) {
    if (plain(x) < 0) return -x;
    return plain(x) > 0 ? x : S(0.0);
}

} // namespace lostvolts

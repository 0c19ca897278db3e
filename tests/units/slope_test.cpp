#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "solver/units/slope.h"

using namespace lostvolts;

namespace {

using D = Dual<2>;

/// Checks value and both slopes of f at (a, b) against doubles and central differences.
/// Tolerance: with step 1e-5 of the input the difference is good to about 1e-10 of the function's own size.
template <class F> void agrees(const char* name, F f, double a, double b) {
    INFO(name << " at " << a << ", " << b);
    const D dual = f(D::input(a, 0), D::input(b, 1));
    CHECK(dual.value == doctest::Approx(f(a, b)).epsilon(1e-15));
    const double step_a = 1e-5 * std::abs(a), step_b = 1e-5 * std::abs(b);
    const double slope_a = (f(a + step_a, b) - f(a - step_a, b)) / (2 * step_a);
    const double slope_b = (f(a, b + step_b) - f(a, b - step_b)) / (2 * step_b);
    const double size = std::abs(f(a, b));
    CHECK(std::abs(dual.slope[0] - slope_a) <= 1e-8 * (std::abs(slope_a) + size / std::abs(a)));
    CHECK(std::abs(dual.slope[1] - slope_b) <= 1e-8 * (std::abs(slope_b) + size / std::abs(b)));
}

} // namespace

TEST_CASE("every operation on duals has the slope of its central difference") {
    // Expected: central differences at random points, signs mixed.
    const unsigned seed = 20261;
    INFO("seed " << seed);
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> size(0.5, 3);
    for (int n = 0; n < 200; ++n) {
        const double a = size(random) * (n & 1 ? 1 : -1), b = size(random) * (n & 2 ? 1 : -1);
        agrees(
            "a + b", [](auto x, auto y) { return x + y; }, a, b);
        agrees(
            "a - b", [](auto x, auto y) { return x - y; }, a, b);
        agrees(
            "a * b", [](auto x, auto y) { return x * y; }, a, b);
        agrees(
            "a / b", [](auto x, auto y) { return x / y; }, a, b);
        agrees(
            "-a", [](auto x, auto) { return -x; }, a, b);
        agrees(
            "+a", [](auto x, auto) { return +x; }, a, b);
        agrees(
            "a + 2", [](auto x, auto) { return x + 2.0; }, a, b);
        agrees(
            "2 + a", [](auto x, auto) { return 2.0 + x; }, a, b);
        agrees(
            "a - 2", [](auto x, auto) { return x - 2.0; }, a, b);
        agrees(
            "2 - a", [](auto x, auto) { return 2.0 - x; }, a, b);
        agrees(
            "a * 2", [](auto x, auto) { return x * 2.0; }, a, b);
        agrees(
            "2 * a", [](auto x, auto) { return 2.0 * x; }, a, b);
        agrees(
            "a / 2", [](auto x, auto) { return x / 2.0; }, a, b);
        agrees(
            "2 / a", [](auto x, auto) { return 2.0 / x; }, a, b);
        agrees(
            "|a|", [](auto x, auto) { return magnitude(x); }, a, b);
        agrees(
            "soft sign inside", [](auto x, auto) { return soft_sign(x, 4.0); }, a, b);
        agrees(
            "soft sign outside", [](auto x, auto) { return soft_sign(x, 0.25); }, a, b);
        agrees(
            "power 0.55", [](auto x, auto) { return power(magnitude(x), 0.55); }, a, b);
        agrees(
            "a += b", [](auto x, auto y) { return x += y; }, a, b);
        agrees(
            "a -= b", [](auto x, auto y) { return x -= y; }, a, b);
        agrees(
            "all together", [](auto x, auto y) { return (x * y - x / y) / (2.0 + magnitude(x)) + 3.0 * y; },
            a, b);
    }
}

TEST_CASE("magnitude has slope 0 at 0") {
    // Expected: as slope.h promises, so that Newton's method has a definite Jacobian there.
    const D zero = magnitude(D::input(0, 0));
    CHECK(zero.value == 0);
    CHECK(zero.slope[0] == 0);
}

TEST_CASE("duals compare by value alone") {
    // Expected, by hand.
    CHECK(D::input(1, 0) < D::input(2, 1));
    CHECK(D::input(2, 0) > D(1));
    CHECK(D::input(1, 0) == D::input(1, 1));
    CHECK(D(1) <= D(1));
    CHECK(D(1) >= D(1));
    CHECK(plain(D::input(5, 0)) == 5);
    CHECK(plain(5.0) == 5);
}

// The coefficients of the integration method against the conditions they must meet.
#include "solver/spinup/rosenbrock.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>

namespace {

constexpr int n = lostvolts::rosenbrock::stages;
using Matrix = std::array<std::array<double, n>, n>;
using Vector = std::array<double, n>;

Matrix product(const Matrix& a, const Matrix& b) {
    Matrix r{};
    for (int i = 0; i < n; ++i)
        for (int j = 0; j < n; ++j)
            for (int k = 0; k < n; ++k) r[i][j] += a[i][k] * b[k][j];
    return r;
}

/// Of a lower triangular matrix.
Matrix inverse(const Matrix& a) {
    Matrix r{};
    for (int j = 0; j < n; ++j)
        for (int i = j; i < n; ++i) {
            double sum = i == j ? 1 : 0;
            for (int k = j; k < i; ++k) sum -= a[i][k] * r[k][j];
            r[i][j] = sum / a[i][i];
        }
    return r;
}

Vector times(const Matrix& a, const Vector& x) {
    Vector r{};
    for (int i = 0; i < n; ++i)
        for (int k = 0; k < n; ++k) r[i] += a[i][k] * x[k];
    return r;
}
Vector each(const Vector& x, const Vector& y) {
    Vector r{};
    for (int i = 0; i < n; ++i) r[i] = x[i] * y[i];
    return r;
}
double dot(const Vector& x, const Vector& y) {
    double sum = 0;
    for (int i = 0; i < n; ++i) sum += x[i] * y[i];
    return sum;
}

/// The method in the form that the conditions are written for: k_i = h·f(y + Σ α_ij·k_j) + h·J·Σ γ_ij·k_j.
/// With U = Γ·k: Γ⁻¹ = 1/γ − c, α = a·Γ, b = m·Γ.
struct Method {
    Matrix alpha{}, gamma{}, beta{};
    Vector b{}, b_low{}; ///< of the step, and of the embedded answer without U_6
    Vector alpha_sum{}, gamma_sum{}, beta_sum{};

    Method() {
        using namespace lostvolts::rosenbrock;
        Matrix inverse_gamma{}, a_{};
        for (int i = 0; i < n; ++i)
            for (int j = 0; j < n; ++j) {
                a_[i][j] = a[i][j];
                inverse_gamma[i][j] = i == j ? 1 / lostvolts::rosenbrock::gamma : -c[i][j];
            }
        gamma = inverse(inverse_gamma);
        alpha = product(a_, gamma);
        Matrix m{}; // row 0 the step, row 1 the embedded one
        for (int j = 0; j < n; ++j) m[0][j] = m[1][j] = a[n - 1][j];
        m[0][n - 1] = 1;
        const Matrix weights = product(m, gamma);
        b = weights[0];
        b_low = weights[1];
        for (int i = 0; i < n; ++i)
            for (int j = 0; j < n; ++j) {
                beta[i][j] = alpha[i][j] + gamma[i][j];
                alpha_sum[i] += alpha[i][j];
                gamma_sum[i] += gamma[i][j];
                beta_sum[i] += beta[i][j];
            }
    }
};

void near(double value, double expected) { CHECK(std::abs(value - expected) < 2e-12); }

} // namespace

TEST_CASE("the method meets the eight conditions of order four") {
    // Expected: Hairer and Wanner II, section IV.7, table 7.1, γ_ii included (β = α + γ); from memory.
    const Method m;
    const Vector square = each(m.alpha_sum, m.alpha_sum);
    const Vector one{1, 1, 1, 1, 1, 1};
    near(dot(m.b, one), 1);
    near(dot(m.b, m.beta_sum), 1.0 / 2);
    near(dot(m.b, square), 1.0 / 3);
    near(dot(m.b, times(m.beta, m.beta_sum)), 1.0 / 6);
    near(dot(m.b, each(square, m.alpha_sum)), 1.0 / 4);
    near(dot(m.b, each(m.alpha_sum, times(m.alpha, m.beta_sum))), 1.0 / 8);
    near(dot(m.b, times(m.beta, square)), 1.0 / 12);
    near(dot(m.b, times(m.beta, times(m.beta, m.beta_sum))), 1.0 / 24);
}

TEST_CASE("the embedded answer meets the four conditions of order three and not all of order four") {
    // Expected: as above; it must differ from the step, else it would estimate nothing.
    const Method m;
    const Vector square = each(m.alpha_sum, m.alpha_sum);
    near(dot(m.b_low, {1, 1, 1, 1, 1, 1}), 1);
    near(dot(m.b_low, m.beta_sum), 1.0 / 2);
    near(dot(m.b_low, square), 1.0 / 3);
    near(dot(m.b_low, times(m.beta, m.beta_sum)), 1.0 / 6);
    CHECK(std::abs(dot(m.b_low, each(square, m.alpha_sum)) - 0.25) > 1e-3);
}

TEST_CASE("the method keeps its order on equations that hold at every instant") {
    // Expected: the conditions for index 1, Hairer and Wanner II, section VI.4 (Rosenbrock methods), with
    // ω = β⁻¹: b·ω·α² = 1 for order 3, b·ω·α³ = 1 and b·ω·(α·(Σ α_ij·ω·α²)) = 1 for order 4, and
    // Σ b_i·α_i·α_ij·ω_jk·α_k² = 1/4 for the differential part. From memory. Stiffly accurate: the last row
    // of β is b.
    const Method m;
    const Matrix w = inverse(m.beta);
    const Vector square = each(m.alpha_sum, m.alpha_sum);
    near(dot(m.b, times(w, square)), 1);
    near(dot(m.b, times(w, each(square, m.alpha_sum))), 1);
    near(dot(m.b, times(w, each(m.alpha_sum, times(m.alpha, times(w, square))))), 1);
    near(dot(m.b, each(m.alpha_sum, times(m.alpha, times(w, square)))), 1.0 / 4);
    for (int j = 0; j < n; ++j) near(m.beta[n - 1][j], m.b[j]);
    near(m.alpha_sum[n - 1], 1);
}

TEST_CASE("the tabled instants of the stages belong to the coefficients") {
    // Expected: α_i = Σ α_ij and γ_i = Σ γ_ij, which the terms with ∂f/∂t use.
    const Method m;
    for (int i = 0; i < n; ++i) {
        near(m.alpha_sum[i], lostvolts::rosenbrock::alpha[i]);
        near(m.gamma_sum[i], lostvolts::rosenbrock::gamma_sum[i]);
    }
}

TEST_CASE("what is infinitely stiff is settled in one step and nothing that decays grows") {
    // Expected: R(z) = 1 + z·b·(1 − z·β)⁻¹·1 is 0 at infinity and at most 1 on the imaginary axis, which with
    // γ > 0 bounds it in the whole left half-plane (maximum principle). β is triangular: solved row by row.
    const Method m;
    const auto grown = [&](double re, double im) {
        std::array<double, 2> k[n];
        double r0 = 1, r1 = 0;
        for (int i = 0; i < n; ++i) {
            // (1 − z·γ)·k_i = 1 + z·Σ β_ij·k_j
            double s0 = 0, s1 = 0;
            for (int j = 0; j < i; ++j) s0 += m.beta[i][j] * k[j][0], s1 += m.beta[i][j] * k[j][1];
            const double t0 = 1 + re * s0 - im * s1, t1 = re * s1 + im * s0;
            const double d0 = 1 - re * m.beta[i][i], d1 = -im * m.beta[i][i], d = d0 * d0 + d1 * d1;
            k[i] = {(t0 * d0 + t1 * d1) / d, (t1 * d0 - t0 * d1) / d};
            r0 += m.b[i] * (re * k[i][0] - im * k[i][1]);
            r1 += m.b[i] * (re * k[i][1] + im * k[i][0]);
        }
        return std::hypot(r0, r1);
    };
    CHECK(grown(-1e9, 0) < 1e-6);
    CHECK(std::abs(grown(-0.01, 0) - std::exp(-0.01)) < 1e-11);
    for (double y = 1e-3; y < 1e6; y *= 1.05) CHECK(grown(0, y) <= 1 + 1e-9);
}

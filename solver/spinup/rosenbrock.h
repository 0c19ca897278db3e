// The integration method: a stiffly accurate Rosenbrock method of six stages for M·y' = f(t, y) of index 1,
// order 4 with an embedded order 3 and a continuous answer of order 3 between the steps.
//
// A stage solves (M/(γh) − f_y)·U_i = f(t + α_i·h, y + Σ a_ij·U_j) + M·Σ c_ij/h·U_j + γ_i·h·f_t, and the step
// ends at y + Σ a_6j·U_j + U_6; U_6 is the error estimate. Row 6 is row 5 and U_5: the method is stiffly
// accurate, so what holds at every instant (Kirchhoff's current law) holds at the end of each step, and
// R(∞) = 0.
// Source: E. Hairer, G. Wanner, Solving Ordinary Differential Equations II, 2nd ed., section IV.7
// (conditions) and its program RODAS (coefficients). The coefficients are from memory:
// tests/spinup/method_test.cpp holds them to the order conditions, the stability function and the
// differential-algebraic conditions.
#pragma once

namespace lostvolts::rosenbrock {

inline constexpr int stages = 6;
inline constexpr double gamma = 0.25;

inline constexpr double a[stages][stages] = {
    {},
    {1.544},
    {0.9466785280815826, 0.2557011698983284},
    {3.314825187068521, 2.896124015972201, 0.9986419139977817},
    {1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950},
    {1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950, 1.0},
};
inline constexpr double c[stages][stages] = {
    {},
    {-5.6688},
    {-2.430093356833875, -0.2063599157091915},
    {-0.1073529058151375, -9.594562251023355, -20.47028614809616},
    {7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160},
    {8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136, -6.058818238834054},
};
inline constexpr double alpha[stages] = {0, 0.386, 0.21, 0.63, 1, 1};
inline constexpr double gamma_sum[stages] = {0.25, -0.1043, 0.1035, -0.0362000000000023, 0, 0};

/// y(t + s·h) = (1 − s)·y₀ + s·(y₁ + (1 − s)·(Σ d₀ⱼ·Uⱼ + s·Σ d₁ⱼ·Uⱼ)).
inline constexpr double d[2][stages] = {
    {10.12623508344586, -7.487995877610167, -34.80091861555747, -7.992771707568823, 1.025137723295662, 0},
    {-0.6762803392806898, 6.087714651680015, 16.43084320892478, 24.76722511418386, -6.594389125716872, 0},
};

} // namespace lostvolts::rosenbrock

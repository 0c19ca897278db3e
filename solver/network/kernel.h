// The door between typed equations and plain numbers: a part's equation as a straight line at one working
// point, with its own unknowns eliminated, and its slopes against the part's own numbers. SI doubles from
// here on.
#pragma once

#include <array>

#include "solver/parts/all.h"

namespace lostvolts {

inline constexpr int most_own = 2;     ///< own unknowns of a part, at the most
inline constexpr int most_numbers = 9; ///< parameters of a part, at the most

/// i(v) ≈ amps + siemens·(v − v₀) and own(v) ≈ own + own_slope·(v − v₀), with v₀ and `own` where it was
/// taken. `amps` and `own` stand already corrected by one Newton step of the part's own rows.
struct Line {
    double amps = 0;
    double siemens = 0;
    std::array<double, most_own> own{};
    std::array<double, most_own> own_slope{};
};

/// An implicit Euler step of the part's stores: residual − per_second·(stored − before) = 0. per_second 0: at
/// rest.
struct Pace {
    double per_second = 0;
    std::array<double, most_own> before{};
};

int own_count(const AnyPart& part);
bool is_linear(const AnyPart& part); ///< one line holds for every v

/// Where the solver starts the own unknowns of a part that is fed.
std::array<double, most_own> start_of(const AnyPart& part);

Line line_at(const AnyPart& part, double volts, const std::array<double, most_own>& own,
             const Pace& pace = {});
/// Which stretch of its curve a part is on; the solver re-linearises where it changes. 0 for a part without
/// kinks.
int region_of(const AnyPart& part, double volts, const std::array<double, most_own>& own);
std::array<double, most_own> stored_at(const AnyPart& part, double volts,
                                       const std::array<double, most_own>& own);
Line coil_line(const Relay<>& relay); ///< of the relay's second branch, for every v

/// At a solved point: slopes of current and own unknowns against each of the part's numbers, v held. Only the
/// first `count` places are written, and of `own` only those of the part's own unknowns.
struct NumberSlopes {
    int count;
    std::array<double, most_numbers> amps;
    std::array<std::array<double, most_numbers>, most_own> own;
};
void number_slopes(const AnyPart& part, double volts, const std::array<double, most_own>& own,
                   NumberSlopes& slopes);
void coil_number_slopes(const Relay<>& relay, double volts, NumberSlopes& slopes);

} // namespace lostvolts

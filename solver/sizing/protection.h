// Whether a fuse lives through what it must and opens before the wire is hurt, by the operating-time band of
// the standard: the shortest time where it must hold, the longest where it must open.
#pragma once

#include <vector>

#include "solver/reference/heat.h"
#include "solver/sizing/thermal.h"

namespace lostvolts {

/// A load's start as the fuse sees it. Closed form: the current falls from its locked value to its running
/// one with the motor's mechanical time constant. A simulated start goes in as `samples` (time, current), the
/// time of the first being 0, and then the other three are not used.
struct StartCurrent {
    struct Sample {
        double seconds;
        double amps;
    };
    Current<> peak{};
    Current<> run{};
    Time<> time_constant{};
    std::vector<Sample> samples;
};

/// How much of a fuse's life a start uses up: ∫dt/t_shortest(i(t)/rating), above 1 it may open. The element's
/// cooling between is left out, and what it would carry for ever counts nothing.
double start_use(const StartCurrent& start, Current<> rating);
bool survives_start(const StartCurrent& start, Current<> rating);

/// The shortest time in which a fuse of this rating may open, and the longest, at a current.
OperatingTime operating_time(Current<> rating, Current<> current);

/// Most I²t that a wire stands before its short-circuit temperature, from its steady limit on: k²S².
double withstand_amps2_seconds(const WireSize& size, const Metal& metal, const InsulationClass& insulation);

/// What a fuse does for a wire when the farthest end is shorted.
struct ShortCheck {
    Time<> opens;           ///< at the latest; infinite: never
    double let_through = 0; ///< I²t until then, A²·s
    double withstand = 0;   ///< k²S², A²·s
    bool protects = false;  ///< it opens, within 5 s (the adiabatic rule's range), and the wire outlasts it
};
inline constexpr double adiabatic_seconds = 5;
ShortCheck check_short(Current<> rating, Current<> short_current, double withstand_amps2_seconds);

} // namespace lostvolts

// The hidden machine of a game: healthy parts strayed within their tolerances, one fault, and what its meters
// show. Inside this room only.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "solver/lesson/practice.h"
#include "solver/locate/weighing.h"
#include "solver/sizing/draw.h"

namespace lostvolts {

/// What only the seed decides, numbered so that each draw stands on its own.
enum class Chance : std::uint32_t { fault, size, meter };

/// Evenly between 0 and 1, the same everywhere for the same seed, purpose and counters.
double even_draw(std::uint64_t seed, Chance purpose, const std::vector<std::uint32_t>& counters);

class Machine {
  public:
    Machine(const Network& network, std::uint64_t seed, const Fault& fault);

    /// What the class's instrument shows, as a reading; nothing when the machine has no working point in that
    /// state. A number's error is the meter's own, evenly within its accuracy, and the last digit is rounded;
    /// a word is said with the chance that told.h gives it. `class_job` has the class's meters.
    std::optional<Reading> shown(const Weighing& class_job, const Prospect& prospect);

  private:
    std::optional<double> number_behind(const Reading& asked, const Hookup& instrument);
    double even(const Reading& asked) const;

    const Network& network_;
    std::uint64_t seed_;
    Fault fault_;
    Strays strays_;
    Draw draw_;
    Workspace work_;
    Operating at_;
};

} // namespace lostvolts

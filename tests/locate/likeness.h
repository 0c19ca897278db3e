// How close any one modelled fault, or none, comes to what was read: whether readings can tell at all that a
// machine has something not modelled.
//
// A leak to ground at the far end of a wire reads as a short there does, and a leak between two points that
// stand alike changes nothing. No reading tells those from what is modelled, and no probability can. Here
// every fault at every size is held against the readings with no prior and no blunders, by
//     χ² = the least over the healthy parts' numbers of Σ (misread/σ)² + Σ (stray/deviation)²
//        = eᵀ·(meter variance + J·Σ·Jᵀ)⁻¹·e,
// and the least of those says how often a machine with just that fault would be read as far off or farther.
#pragma once

#include <optional>

#include "solver/locate/readings.h"
#include "solver/parts/fault.h"

namespace lostvolts::testing {

struct Likeness {
    PartId part = none; ///< none: nothing wrong comes closest
    std::optional<FaultKind> kind{};
    double size = 0;
    double chi_square = 0;
    double chance = 1; ///< that a machine with just this fault is read so far off or farther
};

/// Of readings that are numbers, taken without blunders.
Likeness closest_modelled(const Readings& job);

} // namespace lostvolts::testing

// Up to three readings ahead: which to take first, and which then, by what it showed.
//
// Possible machines, each with its weight, are what is believed. A reading's outcome takes weight from those
// that would hardly show it. A way of reading is judged by the minutes that it is expected to need until one
// part (or "nothing wrong") has 95 %: each of the most promising first readings is played out, always going
// on with the reading that then tells most per minute, and the shortest wins (one step of improvement on a
// greedy policy: D. P. Bertsekas, "Dynamic Programming and Optimal Control", rollout; from memory).
// Information here is about which part to mend: between two ways in which one part may have failed nobody
// needs to choose before opening it.
#pragma once

#include "solver/locate/belief.h"

namespace lostvolts {

inline constexpr int most_steps = 3;

/// Expected minutes are those of the steps listed; no steps when it is settled already or nothing tells more.
Plan draw_up_plan(const PlanGround& ground);

} // namespace lostvolts

// What to measure next: the readings with the most expected information about which suspect is right, per
// minute that they take, and a plan of up to three of them.
//
// Each rival suspect, at a few sizes of its fault, predicts every reading that could be taken (outlook.h): a
// mean and a variance from the tolerances that the readings so far have left, and the meter's own. From that
// follow what a reading would tell (information.h), what it takes (effort.h), and the best order (plan.h).
//
// Only what harms nobody is ever asked for: volts, amperes and speeds by a clamp and a mark, a lamp's word
// and a sound, in the states that the circuit's file names; ohms in those of them in which nothing is
// switched on, with every source off. Nothing else is opened, bridged or held but what such a state says.
#pragma once

#include <vector>

#include "solver/locate/locate.h"
#include "solver/locate/outlook.h"

namespace lostvolts {

struct Advice {
    std::vector<NextReading> next; ///< best first; none when no reading would tell a hundredth of a bit
    Plan plan;                     ///< its first reading is the first of `next`
};

Advice advise(Weighing& w, const std::vector<Rival>& rivals);

} // namespace lostvolts

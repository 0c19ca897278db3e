// What to measure next: the reading with the most expected information about which suspect is right, per
// minute that it takes.
//
// Each rival suspect, at a few sizes of its fault, predicts every reading that could be taken: a mean and a
// variance from the tolerances that the readings so far have left, and the meter's own. The information of a
// candidate is the mutual information between "which suspect" and "what the meter shows": sum over suspects
// of p·E[ln p(y|suspect)/p(y)], the expectations by Gauss–Hermite quadrature. Source: D. V. Lindley, Ann.
// Math. Statist. 27 (1956); quadrature nodes, Abramowitz & Stegun table 25.10 (memory).
#pragma once

#include <vector>

#include "solver/locate/evidence.h"
#include "solver/locate/locate.h"

namespace lostvolts {

/// A suspect still in the running.
struct Rival {
    int suspect = 0; ///< its index among the suspects
    double probability = 0;
    const Evidence* evidence = nullptr;
};

/// The best next readings, best first; none when no reading would tell a hundredth of a bit.
std::vector<NextReading> advise(Weighing& w, const std::vector<Rival>& rivals);

} // namespace lostvolts

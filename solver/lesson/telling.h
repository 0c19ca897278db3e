// The one reading that tells a condition from those it is taken for: all that nobody with eyes, ears and a
// clamp could tell from it, or else the nearest one. It is chosen from the advice that locate gives when
// these are the only suspects: the one whose value here lies furthest, in the meter's errors, from the
// nearest of theirs.
#pragma once

#include <optional>
#include <vector>

#include "solver/lesson/signature.h"
#include "solver/locate/locate.h"

namespace lostvolts {

/// How far apart two signatures are for somebody with eyes, ears and a clamp: the root of the summed squares
/// of the differences in speed (or in the load's volts, for a load that doesn't turn), in units of a
/// twentieth, and in run and stall current, in units of what a clamp is off.
double apart(const Stand& stand, const Signature& healthy, const Signature& a, const Signature& b);

struct Telling {
    std::vector<int> others; ///< indices of the look-alikes among the signatures, the nearest first
    bool alike = false;      ///< they can't be told from it without a reading
    std::optional<NextReading> reading; ///< nothing: no reading at hand tells them all apart
    double here = 0;                    ///< what it shows in this condition, SI
    std::vector<double> there;          ///< and in each of the others
};

/// For each signature its look-alikes and the reading; one with trouble has none, and is nobody's look-alike.
std::vector<Telling> tellings(const Stand& stand, const std::vector<Signature>& signatures);

} // namespace lostvolts

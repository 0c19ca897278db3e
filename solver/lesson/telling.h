// The one reading that tells a condition from the one it is most easily taken for: chosen by the same advice
// that locate gives, with the two as the only suspects.
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
    int other = none;                   ///< index of the look-alike among the signatures
    std::optional<NextReading> reading; ///< nothing: no reading at hand tells them apart
    double here = 0, there = 0;         ///< what it shows in this condition and in the other, SI
};

/// For each signature its look-alike and the reading; one with trouble has none, and is nobody's look-alike.
std::vector<Telling> tellings(const Stand& stand, const std::vector<Signature>& signatures);

} // namespace lostvolts

// What a fault looks like to somebody who stands at the machine without a meter, in words reckoned from the
// numbers: slow, dim, silent, hot, a blown fuse, a lamp that glows though it is off.
#pragma once

#include <string>

#include "solver/lesson/signature.h"

namespace lostvolts {

struct Look {
    std::string words;    ///< "slow, at 82 % of its speed", "gets 3.1 V though it is off"
    bool changed = false; ///< somebody would notice
};

/// One load in one state, beside what it does there in the sound circuit.
Look load_look(const Circuit& circuit, const StatePrediction& healthy, const StatePrediction& now,
               PartId load);

/// "slow, at 82 % of its speed; pump ground takes 8.6 W and gets warm". `healthy` is the sound circuit's.
std::string looks(const Stand& stand, const Signature& healthy, const Signature& sig);

} // namespace lostvolts

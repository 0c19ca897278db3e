// What a reading not yet taken will show, suspect by suspect: those that a meter could hardly tell apart
// share a line.
#pragma once

#include <string>
#include <vector>

#include "solver/locate/locate.h"

namespace lostvolts {

/// What several suspects foretell alike.
struct Foretold {
    Outcome outcome; ///< the likeliest one's, its interval widened to the others'
    std::vector<int> suspects;
};

/// The likeliest first. Suspects with next to no probability are left out.
std::vector<Foretold> foretold_by(const Location& location, const NextReading& next);

/// "trailer ground splice or white wire: high resistance; nothing wrong": each kind of fault named once.
std::string any_of_them(const Circuit& circuit, const Location& location, const std::vector<int>& suspects);

} // namespace lostvolts

// Where a lamp or an ohmmeter is worth its minutes. There are hundreds of pairs of points, and what each
// would show of every rival takes time: so each pair is first judged by what it may tell at the most,
// roughly, and only a handful are looked at closely.
//
// A lamp's word turns at borders of the volts across it. The lamp has just that many when the volts without
// it are the border's own and what the lamp then draws costs in the ohms behind: so each machine's word is
// known without solving for the lamp, and what the words tell of the rivals is a count. An ohmmeter's ohms
// are judged as a number that is read to some per cent, "open" as one far off.
#pragma once

#include <vector>

#include "solver/locate/outlook.h"

namespace lostvolts {

/// The most telling and the most telling a minute, red on the higher side.
std::vector<Prospect> worth_lighting(const Outlook& outlook);

/// The same in ohms, in states in which nothing is switched on.
std::vector<Prospect> worth_ohms(const Outlook& outlook);

} // namespace lostvolts

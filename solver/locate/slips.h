// What a reading that fits nothing may really be: slips that people make, recognised by the value that they
// leave.
#pragma once

#include <string>

#include "solver/locate/locate.h"
#include "solver/locate/weighing.h"

namespace lostvolts {

/// Words for the slip that explains the reading when these faults are in: taken in another state, a unit or a
/// decimal point misread. Empty when none does, or when two do.
std::string slip_of(Weighing& w, const Reading& reading, const ReadingCheck& check,
                    const std::vector<Fault>& faults);

} // namespace lostvolts

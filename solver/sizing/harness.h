// A harness with its sizes chosen, on the way from the search to the answer. Inside this room only.
#pragma once

#include "solver/sizing/demands.h"

namespace lostvolts {

struct Harness {
    SizingModel& model;
    Demands demands;
    Choice choice;
    std::vector<int> option;            ///< per model wire
    std::vector<std::vector<int>> open; ///< per model wire: sizes that heat and fuse allow
    std::vector<std::vector<std::optional<Binding>>> refused; ///< per model wire and size
    std::vector<std::string> idle;                            ///< states in which no load carries current
    std::vector<std::string> off_way;                         ///< wires on no load's way: as drawn
    bool tree = true;   ///< false: a loop, or a load that is not on one way
    bool stable = true; ///< false: sizes and currents still chased one another in the last round
    int rounds = 0;
};

/// The answer, with the drops, temperatures and bindings of the working points as they stand.
Sizing results(const Harness& harness);

} // namespace lostvolts

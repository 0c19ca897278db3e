// Three things that mislead, shown with this circuit's own numbers: full volts through a bad joint while
// nothing draws current; an ohmmeter that can't see what a drop under load shows; a low current that may be
// resistance or wear.
#pragma once

#include <string>
#include <vector>

#include "viewer/window/stage.h"

namespace lostvolts {

struct Demonstration {
    std::string title;
    std::vector<std::string> heads; ///< over the columns, the first over the rows' names
    struct Row {
        std::vector<std::string> cells;
        bool tells = false; ///< the reading that gives the fault away
    };
    std::vector<Row> rows;
    std::string moral;       ///< a sentence or two
    std::vector<Knob> knobs; ///< the fault that the pictures show meanwhile
    Problems problems;       ///< why it can't be shown with this circuit
};

Demonstration unloaded_volts(const Circuit& circuit);
Demonstration ohmmeter_and_drop(const Circuit& circuit);
Demonstration low_current(const Circuit& circuit);

} // namespace lostvolts

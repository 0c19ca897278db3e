// A circuit drawn with what is known of it: one state, the faults in it, and what readings said. `view` saves
// such drawings, a report has them on its page.
#pragma once

#include <memory>

#include "viewer/figures/staircase.h"

namespace lostvolts {

struct CircuitPicture {
    std::shared_ptr<const Circuit> circuit;
    const Readings* readings = nullptr; ///< both or neither
    const Location* location = nullptr;
    int state = 0;
    PartId load = none; ///< whose staircase; none: the one that the first suspect lies on the way to
    std::vector<Fault> faults{};
    bool faults_shown = false; ///< as the suspects, in the place of those that the readings give
    std::string heading{};
};

/// The loop as a person would sketch it. Problems when the state has no working point with these faults.
Result<Figure> loop_of(const CircuitPicture& drawing);
/// The voltage staircase; nothing when no load lies between the source's posts.
Result<std::optional<Figure>> staircase_of(const CircuitPicture& drawing);

} // namespace lostvolts

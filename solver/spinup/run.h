// The run itself: steps of the error's choosing that end exactly where something happens.
#pragma once

#include <functional>

#include "solver/spinup/timeline.h"

namespace lostvolts {

/// Whoever watches the run is told of every step: of `length`, from `at`, of which the run takes `share`
/// (near 1, or a little more, where it ends at a commutator's edge). prepare_dense() has been called.
struct Step {
    double from = 0, length = 0, share = 1;
    const Moment& at;
    const Stepper& stepper;
};
using Watch = std::function<void(const Step&)>;

struct RunCount {
    int steps = 0, rejected = 0, bars = 0;
};

/// Runs the model from `model.start` over request.duration; events are appended.
std::optional<Problem> run_model(const Network& network, const SpinUpRequest& request, Model& model,
                                 const Watch& watch, std::vector<Event>& events, RunCount& count);

} // namespace lostvolts

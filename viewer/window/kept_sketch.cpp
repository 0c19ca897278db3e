#include "viewer/window/kept_sketch.h"

#include <algorithm>

#include <fmt/format.h>

namespace lostvolts {

const Sketch* KeptSketch::of(const Session& session, double width, double height) {
    const Wish wish{session.circuit_version(), width / std::max(height, 1.0)};
    if (wish != kept_ && session.circuit().parts.size() <= most_placed_at_once) {
        asked_ = kept_ = wish;
        sketch_ = sketch(session.circuit(), wish.aspect);
        ++made_;
    } else if (wish != kept_ && wish != asked_ && !stopped_) {
        asked_ = wish;
        worker_.ask([this, wish, job = session.job()](Watch&) -> Worker::Deliver {
            auto placed = std::make_shared<Sketch>(sketch(job->circuit, wish.aspect));
            return [this, wish, placed] {
                kept_ = wish;
                sketch_ = std::move(*placed);
                ++made_;
            };
        });
    }
    return kept_.version == wish.version ? &sketch_ : nullptr;
}

void KeptSketch::stop_thinking() {
    if (!worker_.busy()) return;
    worker_.cancel();
    asked_ = {};
    stopped_ = true;
}

std::string KeptSketch::doing(const Session& session) const {
    if (stopped_) return "✗ Stopped: nothing is drawn yet. F11 draws it.";
    return fmt::format("Placing {} parts …", session.circuit().parts.size());
}

} // namespace lostvolts

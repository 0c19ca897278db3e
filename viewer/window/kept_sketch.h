// Where everything of a circuit lies, kept while circuit and room are the same. A large circuit is placed off
// the thread that draws: that takes longer than a frame may.
#pragma once

#include "viewer/figures/sketch.h"
#include "viewer/window/session.h"

namespace lostvolts {

/// Circuits of more parts are placed by a worker.
inline constexpr std::size_t most_placed_at_once = 40;

class KeptSketch {
  public:
    /// For a room of that shape. While it is being worked out, the one for the room before; null when there
    /// is none of this circuit yet.
    const Sketch* of(const Session& session, double width, double height);
    /// In words, while there is none.
    std::string doing(const Session& session) const;
    int made() const { return made_; } ///< counts up with every sketch
    bool thinking() const { return worker_.busy(); }
    std::chrono::milliseconds thinking_for() const { return worker_.at_it(); }
    void stop_thinking(); ///< the one for the room before stays
    bool stopped() const { return stopped_; }
    void go_on() { stopped_ = false; }
    bool tick() { return worker_.collect(); }

  private:
    struct Wish {
        int version = -1; ///< of the circuit
        double aspect = 0;
        bool operator==(const Wish&) const = default;
    };
    Wish asked_, kept_;
    Sketch sketch_;
    int made_ = 0;
    bool stopped_ = false;
    Worker worker_; // last: what it delivers goes to the others
};

} // namespace lostvolts

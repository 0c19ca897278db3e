// What happens at a known instant: contacts closing, bouncing and opening, faults that come, corners of a
// source's course. Relays add to it while the circuit runs.
#pragma once

#include <vector>

#include "solver/spinup/model.h"

namespace lostvolts {

struct Due {
    double at = 0;
    enum class What { close, open, change, corner, sources_on } what = What::close;
    int mover = none;  ///< close, open
    int index = none;  ///< change, or course of a corner
    int corner = none; ///< of the course: the one that is reached
};

class Timeline {
  public:
    Timeline(const Model& model, const SpinUpRequest& request);

    double next() const; ///< infinity when nothing is due
    Due take();          ///< the first due
    /// A mover closes at `at` and bounces; or opens, and what was due of it is forgotten.
    void close(const Model& model, int mover, double at);
    void open(int mover, double at);

  private:
    void add(Due due);
    const SpinUpRequest& request_;
    std::vector<Due> due_; ///< the last first
};

} // namespace lostvolts

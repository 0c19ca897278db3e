// Long work that somebody may lose patience with. Whoever runs it on a thread of its own says on that thread
// where it will be told so; the solver's long loops ask now and then, and the work ends at once, without an
// answer. Where nobody has said anything, nothing is ever given up.
#pragma once

#include <atomic>
#include <exception>

namespace lostvolts {

/// Thrown through the work at hand by give_up_if_told(). No fault of anybody's.
struct GivenUp : std::exception {
    const char* what() const noexcept override { return "given up: nobody waits for it any more"; }
};

/// While it lives, work on this thread is given up once `told` is true.
class Patience {
  public:
    explicit Patience(const std::atomic<bool>& told);
    ~Patience();
    Patience(const Patience&) = delete;
    Patience& operator=(const Patience&) = delete;

  private:
    const std::atomic<bool>* before_;
};

/// For loops that may run long: cheap enough to be asked at every working point.
void give_up_if_told();

} // namespace lostvolts

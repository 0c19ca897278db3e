// Long work off the thread that draws: one worker, one thread, and only the latest question counts. What is
// asked while it works replaces what waits, and the work at hand is given up: the solver's long loops ask for
// that themselves (solver/units/patience.h).
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <functional>
#include <mutex>
#include <thread>
#include <utility>

namespace lostvolts {

/// What the work at hand may ask and tell.
class Watch {
  public:
    /// Nobody waits for the answer: stop at the next good place.
    bool stopped() const { return stopped_; }
    /// How far the work has come, 0 … 1.
    void tell(double share) { share_ = share; }
    double share() const { return share_; }
    /// Hands over an answer that is not the last: collected at once, while the work goes on. Where nobody has
    /// collected it by then, the next one takes its place.
    void hand_over(std::function<void()> deliver) {
        if (first_) first_(std::move(deliver));
    }

  private:
    friend class Worker;
    std::function<void(std::function<void()>)> first_;
    std::atomic<bool> stopped_ = false;
    std::atomic<double> share_ = 0;
};

class Worker {
  public:
    using Deliver = std::function<void()>;             ///< run by collect(), on the thread that asked
    using Work = std::function<Deliver(Watch& watch)>; ///< run on the worker's thread; may throw

    Worker();
    /// Tells the work at hand to stop and waits for it; what waits is dropped.
    ~Worker();
    Worker(const Worker&) = delete;
    Worker& operator=(const Worker&) = delete;

    void ask(Work work);
    /// Gives up the work at hand and what waits, if any: nothing of it will be delivered.
    void cancel();
    /// Runs what is ready to be delivered; true when there was something.
    bool collect();

    bool busy() const; ///< working, waiting, or not yet collected
    double share() const;
    std::chrono::milliseconds at_it() const; ///< since the work at hand began; 0 when there is none
    /// Waits until nothing is being worked on; what is ready is left to collect().
    void finish();

  private:
    void run();

    mutable std::mutex lock_;
    std::condition_variable woken_, rested_;
    Work waiting_;
    Deliver ready_;
    Watch watch_;
    bool working_ = false;
    bool leaving_ = false;
    std::chrono::steady_clock::time_point since_;
    std::thread thread_; // last: it uses all the others
};

} // namespace lostvolts

#include "viewer/window/worker.h"

#include <exception>
#include <utility>

#include "solver/units/patience.h"

namespace lostvolts {

Worker::Worker() {
    watch_.first_ = [this](Deliver deliver) {
        const std::lock_guard held(lock_);
        if (!watch_.stopped_) ready_ = std::move(deliver);
    };
    thread_ = std::thread([this] { run(); });
}

Worker::~Worker() {
    {
        const std::lock_guard held(lock_);
        leaving_ = true;
        waiting_ = nullptr;
        watch_.stopped_ = true;
    }
    woken_.notify_all();
    thread_.join();
}

void Worker::ask(Work work) {
    {
        const std::lock_guard held(lock_);
        waiting_ = std::move(work);
        watch_.stopped_ = true;
    }
    woken_.notify_one();
}

void Worker::cancel() {
    const std::lock_guard held(lock_);
    waiting_ = nullptr;
    ready_ = nullptr;
    watch_.stopped_ = true;
}

bool Worker::collect() {
    Deliver deliver;
    {
        const std::lock_guard held(lock_);
        deliver = std::exchange(ready_, nullptr);
    }
    if (!deliver) return false;
    deliver();
    return true;
}

bool Worker::busy() const {
    const std::lock_guard held(lock_);
    return working_ || waiting_ || ready_;
}

double Worker::share() const { return watch_.share(); }

std::chrono::milliseconds Worker::at_it() const {
    const std::lock_guard held(lock_);
    if (!working_) return {};
    return std::chrono::duration_cast<std::chrono::milliseconds>(std::chrono::steady_clock::now() - since_);
}

void Worker::finish() {
    std::unique_lock held(lock_);
    rested_.wait(held, [this] { return !working_ && !waiting_; });
}

void Worker::run() {
    std::unique_lock held(lock_);
    for (;;) {
        woken_.wait(held, [this] { return leaving_ || waiting_; });
        if (leaving_) return;
        const Work work = std::exchange(waiting_, nullptr);
        watch_.stopped_ = false;
        watch_.share_ = 0;
        working_ = true;
        since_ = std::chrono::steady_clock::now();
        held.unlock();
        Deliver done;
        try {
            const Patience until(watch_.stopped_);
            done = work(watch_);
        } catch (const std::exception&) {
            // Given up; or a slip of the program's own: the question stays without an answer, the window
            // stays alive.
        }
        held.lock();
        working_ = false;
        if (!watch_.stopped_) ready_ = std::move(done);
        rested_.notify_all();
    }
}

} // namespace lostvolts

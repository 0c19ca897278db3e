#include "solver/study/crew.h"

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <deque>
#include <exception>
#include <mutex>
#include <thread>
#include <utility>

#include "solver/study/cases.h"
#include "solver/study/ledger.h"

namespace lostvolts {
namespace {

/// Where the workers leave their blocks for the one thread that writes.
struct Desk {
    std::mutex lock;
    std::condition_variable news;
    std::deque<std::pair<long, std::string>> done;
    std::exception_ptr slip; ///< of a worker; told by the thread that asked
    int working = 0;
};

void work(const StudyOrder& order, const std::vector<long>& blocks, std::atomic<std::size_t>& next,
          Desk& desk) {
    try {
        for (std::size_t k; (k = next++) < blocks.size();) {
            std::string lines = lines_of_block(order, blocks[k]);
            const std::lock_guard hold(desk.lock);
            desk.done.emplace_back(blocks[k], std::move(lines));
            desk.news.notify_one();
        }
    } catch (...) {
        const std::lock_guard hold(desk.lock);
        desk.slip = std::current_exception();
        next = blocks.size();
    }
    const std::lock_guard hold(desk.lock);
    --desk.working;
    desk.news.notify_one();
}

std::optional<Problem> work_with(int threads, const StudyOrder& order, Ledger& ledger) {
    const std::vector<long>& blocks = ledger.missing();
    std::atomic<std::size_t> next = 0;
    Desk desk;
    const int count = desk.working = std::clamp(threads, 1, 256);
    std::vector<std::thread> workers;
    workers.reserve(static_cast<std::size_t>(count));
    for (int t = 0; t < count; ++t) workers.emplace_back([&] { work(order, blocks, next, desk); });
    std::optional<Problem> trouble;
    std::unique_lock hold(desk.lock);
    while (desk.working > 0 || !desk.done.empty()) {
        desk.news.wait(hold, [&] { return desk.working == 0 || !desk.done.empty(); });
        auto done = std::exchange(desk.done, {});
        hold.unlock();
        for (const auto& [block, lines] : done)
            if (!trouble && (trouble = ledger.add(block, lines))) next = blocks.size();
        hold.lock();
    }
    hold.unlock();
    for (std::thread& worker : workers) worker.join();
    if (desk.slip) std::rethrow_exception(desk.slip);
    return trouble;
}

} // namespace

Crew threads_crew(int threads) {
    return [threads](const StudyOrder& order, Ledger& ledger) { return work_with(threads, order, ledger); };
}

} // namespace lostvolts

// Processes that die at any instant, and several at once.
#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <csignal>
#include <random>
#include <set>
#include <thread>

#include <sys/wait.h>
#include <unistd.h>

#include "solver/records/index.h"
#include "tests/records/sample.h"

using namespace lostvolts;
using namespace lostvolts::records_tests;

namespace fs = std::filesystem;

namespace {

/// A child that does `work` with the writing end of a pipe and then leaves without a word.
struct Child {
    pid_t pid = -1;
    int from = -1;
};
template <class Work> Child child(Work work) {
    int ends[2];
    REQUIRE(::pipe(ends) == 0);
    const pid_t pid = ::fork();
    if (pid == 0) {
        ::close(ends[0]);
        work(ends[1]);
        ::_exit(0);
    }
    ::close(ends[1]);
    return {pid, ends[0]};
}

/// Lines that the child wrote, once it has ended.
std::vector<std::string> lines_of(const Child& c) {
    std::string text;
    char buffer[4096];
    for (ssize_t n; (n = ::read(c.from, buffer, sizeof buffer)) > 0;)
        text.append(buffer, static_cast<std::size_t>(n));
    ::close(c.from);
    int status = 0;
    ::waitpid(c.pid, &status, 0);
    std::vector<std::string> lines;
    for (std::size_t at = 0, end; (end = text.find('\n', at)) != std::string::npos; at = end + 1)
        lines.push_back(text.substr(at, end - at));
    return lines;
}

void say(int to, const std::string& line) {
    const std::string text = line + '\n';
    if (::write(to, text.data(), text.size()) < 0) ::_exit(1);
}

} // namespace

TEST_CASE("killed at any instant, no finished job is lost and nothing is corrupted") {
    // Expected: every job that add_job() answered for is whole; every folder in jobs/ is whole; a search sees
    // all.
    const auto seed = std::random_device{}();
    MESSAGE("seed ", seed);
    std::mt19937 random(seed);
    const Bench bench;
    // The instants are spread over a few jobs' time, whatever the machine's disk and the compiler's checks.
    const auto start = std::chrono::steady_clock::now();
    for (int k = 0; k < 4; ++k) bench.keep(readings_text(5 + 0.1 * k), words("before"));
    const std::chrono::duration<double, std::micro> for_one = (std::chrono::steady_clock::now() - start) / 4;
    const double longest = std::max(3 * for_one.count(), 5'000.0);
    std::uniform_real_distribution<double> instant(0, longest);
    std::set<std::string> promised;
    int next = 0, inside = 0;
    const std::chrono::duration<double> patience =
        std::max<decltype(for_one)>(std::chrono::seconds(20), 60 * for_one);
    const auto until = std::chrono::steady_clock::now() + patience;
    int kills = 0;
    for (; kills < 200 && std::chrono::steady_clock::now() < until; ++kills) {
        const int first = next;
        const Child c = child([&](int to) {
            for (int k = first;; ++k) {
                const JobRow row = bench.keep(readings_text(8 + 0.001 * k), words(fmt::format("job {}", k)));
                if (row.id.empty()) ::_exit(2);
                say(to, row.folder);
                if (k % 3 == 0) {
                    JobChanges change;
                    change.labels = {"third"};
                    if (!change_job(bench.store, row.folder, change)) ::_exit(3);
                }
                if (k % 5 == 0 && !rebuild_index(bench.store)) ::_exit(4);
            }
        });
        std::this_thread::sleep_for(std::chrono::duration<double, std::micro>(instant(random)));
        ::kill(c.pid, SIGKILL);
        const auto answered = lines_of(c);
        promised.insert(answered.begin(), answered.end());
        next += static_cast<int>(answered.size()) + 1;

        std::error_code ignored;
        if (!fs::is_empty(bench.store / "adding", ignored)) ++inside;
        const Store store{bench.store};
        const auto listing = list_jobs(store);
        REQUIRE(listing);
        for (const std::string& folder : promised) {
            const bool there = std::binary_search(listing->names.begin(), listing->names.end(), folder);
            if (!there) FAIL("lost: " << folder);
        }
        if (kills % 10 == 9) // each folder read whole takes its time
            for (const std::string& folder : listing->names) {
                const FolderRead read = read_folder(store, folder);
                if (read.row.state != JobState::whole || !read.remarks.empty()) FAIL("spoilt: " << folder);
            }
        const auto found = find_jobs(bench.store, {});
        REQUIRE_MESSAGE(found, found.problems().front().what);
        CHECK(found->all == listing->names.size());
        CHECK(found->not_whole.empty());
        CHECK(found->remarks.empty()); // not once was the index damaged
    }
    MESSAGE(kills, " kills within ", 1e-3 * longest, " ms, ", promised.size(), " jobs kept, ", inside,
            " left half a job behind");
    CHECK(kills > 20);
    CHECK(promised.size() > 10);
    // What they left behind is cleared away by the next.
    REQUIRE(!bench.keep(readings_text(7), words("last")).id.empty());
    CHECK(fs::is_empty(bench.store / "adding"));
    const auto rebuilt = rebuild_index(bench.store);
    REQUIRE(rebuilt);
    CHECK(rebuilt->not_whole.empty());
    CHECK(rebuilt->jobs == list_jobs(Store{bench.store})->names.size());
}

TEST_CASE("several processes add, find and rebuild at once and every job is there in the end") {
    // Expected: 4 processes keep 12 different jobs each, and all of them the same one: 48 + 1.
    const Bench bench;
    std::vector<Child> all;
    for (int p = 0; p < 4; ++p)
        all.push_back(child([&bench, p](int to) {
            for (int k = 0; k < 12; ++k) {
                const JobRow row = bench.keep(readings_text(8 + 0.1 * p + 0.001 * k),
                                              words(fmt::format("job {} of {}", k, p)));
                if (!row.id.empty()) say(to, row.folder);
                const auto found = find_jobs(bench.store, query({"job"}));
                if (!found || found->all == 0 || !found->remarks.empty() || !found->not_whole.empty())
                    ::_exit(3);
                if (k == 5 && !rebuild_index(bench.store)) ::_exit(4);
            }
            if (bench.keep(readings_text(7.5), words("the same")).id.empty()) ::_exit(5);
            say(to, "done");
        }));
    std::set<std::string> promised;
    for (const Child& c : all) {
        const auto lines = lines_of(c);
        CHECK(lines.size() == 13);
        promised.insert(lines.begin(), lines.end());
    }
    promised.erase("done");
    CHECK(promised.size() == 48);
    const auto found = find_jobs(bench.store, {});
    REQUIRE(found);
    CHECK(found->all == 49);
    CHECK(titles(bench.store, query({"same"})).size() == 1);
}

// Question: how long does a person wait for an answer? `lostvolts predict` and `lostvolts locate` on the
// bundled jobs as whole processes, from start to exit, output thrown away.
//
// An exit code other than 0 ends the benchmark. Jobs are run in turn, so that a change in the machine's speed
// meets all of them; a bare process that does nothing (`true`) stands beside them. Wanted on an idle machine:
// a median of at most 20 ms for predict and 50 ms for locate.
//
//   bench_process           the table; says the machine's load, which should be near nothing
#include <algorithm>
#include <array>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <fcntl.h>
#include <spawn.h>
#include <sys/wait.h>

#include "tests/bench/conditions.h"
#include "tests/bench/sample_job.h"

extern char** environ;

namespace {

namespace fs = std::filesystem;
constexpr int runs = 30;

struct Call {
    std::string name;
    std::vector<std::string> words;
    std::vector<double> milliseconds{};
};

/// Wall time of one process; ends the program when it fails.
double run_once(const Call& call) {
    std::vector<char*> argv;
    for (const std::string& word : call.words) argv.push_back(const_cast<char*>(word.c_str()));
    argv.push_back(nullptr);
    posix_spawn_file_actions_t quiet;
    posix_spawn_file_actions_init(&quiet);
    posix_spawn_file_actions_addopen(&quiet, 1, "/dev/null", O_WRONLY, 0);
    const auto start = std::chrono::steady_clock::now();
    pid_t child = 0;
    int status = -1;
    if (posix_spawnp(&child, argv[0], &quiet, nullptr, argv.data(), environ) == 0) waitpid(child, &status, 0);
    const std::chrono::duration<double, std::milli> wall = std::chrono::steady_clock::now() - start;
    posix_spawn_file_actions_destroy(&quiet);
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0)
        lostvolts::bench::refuse_to_time("failed: " + call.name);
    return wall.count();
}

std::vector<Call> calls() {
    std::vector<Call> all{{"true", {"true"}}};
    std::vector<fs::path> folders;
    for (const auto& entry : fs::directory_iterator(LOSTVOLTS_SOURCE "/circuits"))
        if (entry.is_directory()) folders.push_back(entry.path());
    std::sort(folders.begin(), folders.end());
    for (const fs::path& folder : folders) {
        const std::string job = folder.filename().string();
        for (const auto& [command, file] :
             {std::pair{"predict", "circuit.toml"}, {"locate", "readings.toml"}})
            if (fs::exists(folder / file))
                all.push_back({std::string(command) + " " + job,
                               {LOSTVOLTS_PROGRAM, command, (folder / file).string()}});
    }
    return all;
}

std::string load() {
    std::string one, five;
    std::ifstream("/proc/loadavg") >> one >> five;
    return one + " " + five;
}

} // namespace

int main() {
    std::printf("Whole processes, wall time of %d runs each\n%sload       %s\n\n%-32s %10s %10s %10s\n", runs,
                lostvolts::bench::conditions().c_str(), load().c_str(), "", "median ms", "least", "most");
    std::vector<Call> all = calls();
    for (const Call& call : all) run_once(call); // once, for the page cache
    for (int run = 0; run < runs; ++run)
        for (Call& call : all) call.milliseconds.push_back(run_once(call));
    for (Call& call : all) {
        auto& t = call.milliseconds;
        std::sort(t.begin(), t.end());
        std::printf("%-32s %10.2f %10.2f %10.2f\n", call.name.c_str(), t[t.size() / 2], t.front(), t.back());
    }
}

#include "tests/bench/whole_process.h"

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <fstream>

#include <fcntl.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/time.h>
#include <sys/wait.h>

namespace lostvolts::bench {

void run_once(Call& call) {
    std::vector<char*> argv;
    for (const std::string& word : call.words) argv.push_back(const_cast<char*>(word.c_str()));
    argv.push_back(nullptr);
    posix_spawn_file_actions_t quiet;
    posix_spawn_file_actions_init(&quiet);
    posix_spawn_file_actions_addopen(&quiet, 1, "/dev/null", O_WRONLY, 0);
    const auto start = std::chrono::steady_clock::now();
    pid_t child = 0;
    int status = -1;
    rusage used{};
    if (posix_spawnp(&child, argv[0], &quiet, nullptr, argv.data(), environ) == 0)
        wait4(child, &status, 0, &used);
    const std::chrono::duration<double, std::milli> wall = std::chrono::steady_clock::now() - start;
    posix_spawn_file_actions_destroy(&quiet);
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0)
        std::fprintf(stderr, "not timed: %s failed\n", call.name.c_str()), std::exit(1);
    const auto milliseconds = [](const timeval& t) {
        return 1e3 * static_cast<double>(t.tv_sec) + 1e-3 * static_cast<double>(t.tv_usec);
    };
    call.milliseconds.push_back(wall.count());
    call.processor_milliseconds.push_back(milliseconds(used.ru_utime) + milliseconds(used.ru_stime));
}

std::string load() {
    std::string one, five;
    std::ifstream("/proc/loadavg") >> one >> five;
    return one + " " + five;
}

} // namespace lostvolts::bench

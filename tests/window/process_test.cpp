// The program itself on a display: `lostvolts view` becomes the window, and a person's keys come by way of X.
#include <doctest/doctest.h>

#include <csignal>
#include <cstdlib>

#include <sys/wait.h>
#include <unistd.h>

#include "tests/window/display.h"
#include "tests/window/job.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

/// A started program; killed when it outlives the test.
class Process {
  public:
    explicit Process(const std::string& file, const std::string& config) {
        child_ = fork();
        if (child_ != 0) return;
        setenv("XDG_CONFIG_HOME", config.c_str(), 1);
        execl(LOSTVOLTS_PROGRAM, LOSTVOLTS_PROGRAM, "view", file.c_str(), static_cast<char*>(nullptr));
        _exit(127);
    }
    ~Process() {
        if (child_ > 0) kill(child_, SIGKILL), waitpid(child_, nullptr, 0);
    }
    /// Its exit code once it has ended by itself; -1 after ten seconds.
    int end() {
        for (int k = 0; k < 500; ++k) {
            int status = 0;
            if (waitpid(child_, &status, WNOHANG) == child_) {
                child_ = -1;
                return WIFEXITED(status) ? WEXITSTATUS(status) : -2;
            }
            usleep(20'000);
        }
        return -1;
    }

  private:
    pid_t child_ = -1;
};

bool xdotool(const std::string& words) {
    return std::system(("timeout 20 xdotool " + words + " > /dev/null 2>&1").c_str()) == 0;
}

} // namespace

TEST_CASE("a reading is typed into the running program and its file has it") {
    // Expected, by hand: as typed; Ctrl Q ends it with 0, and the window's place is remembered.
    need_display();
    const Job job;
    Process program(job.readings, job.folder.path("config"));
    REQUIRE(xdotool("search --sync --onlyvisible --name Workboat windowfocus --sync"));
    usleep(300'000); // the first frames
    REQUIRE(xdotool("key --delay 60 ctrl+n"));
    REQUIRE(xdotool("type --delay 40 'pump -'"));
    REQUIRE(xdotool("key --delay 60 Return"));
    REQUIRE(xdotool("type --delay 40 'battery -'"));
    REQUIRE(xdotool("key --delay 60 Return"));
    REQUIRE(xdotool("type --delay 40 '1.46'"));
    REQUIRE(xdotool("key --delay 60 Return"));
    for (int k = 0; k < 200 && content(job.readings).find("1.46 V") == std::string::npos; ++k) usleep(20'000);
    REQUIRE(xdotool("key --delay 60 ctrl+q"));
    CHECK(program.end() == 0);
    CHECK(content(job.readings).find("red = \"pump -\"\nblack = \"battery -\"\nvalue = \"1.46 V\"") !=
          std::string::npos);
    CHECK(std::filesystem::exists(job.folder.path("config/lostvolts/window.toml")));
}

TEST_CASE("the program says what is missing where there is no display") {
    // Expected, by hand: 3, as nothing can be shown.
    const Job job;
    unsetenv("DISPLAY");
    Process program(job.readings, job.folder.path("config"));
    CHECK(program.end() == 3);
}

// The program as a process: exit codes, streams, and an answer nobody can take.
#include <doctest/doctest.h>

#include <cstdio>

#include <sys/wait.h>

#include "tests/command/folder.h"
#include "tests/command/sample.h"
#include "viewer/command/json.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

struct Ended {
    int code = -1;
    std::string out;
};

Ended shell(const std::string& command) {
    Ended ended;
    FILE* pipe = popen(command.c_str(), "r");
    REQUIRE(pipe);
    char buffer[4096];
    for (std::size_t n; (n = fread(buffer, 1, sizeof buffer, pipe)) > 0;) ended.out.append(buffer, n);
    const int status = pclose(pipe);
    ended.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    return ended;
}

const std::string program = "'" LOSTVOLTS_PROGRAM "'";

} // namespace

TEST_CASE("the program answers on stdout and complains on stderr") {
    // Expected: DESIGN, "Commands".
    const Folder folder;
    const std::string file = folder.write("heater.toml", heater_circuit);
    const Ended good = shell(program + " predict '" + file + "' --json 2>/dev/null");
    CHECK(good.code == exit_done);
    CHECK(Json::parse(good.out)["circuit"] == "Cab heater");
    const Ended bad = shell(program + " predict '" + file + "' --state rum 2>/dev/null");
    CHECK(bad.code == exit_bad_input);
    CHECK(bad.out.empty());
    CHECK(shell(program + " predict '" + file + "' --strict").code == exit_finding);
}

TEST_CASE("no colour goes into a pipe and COLUMNS is heeded there") {
    // Expected: DESIGN, colour only on a terminal.
    const Ended plain = shell("env -u NO_COLOR TERM=xterm COLUMNS=40 " + program + " --help");
    CHECK(plain.out.find('\x1b') == std::string::npos);
    CHECK(plain.out.find("loses its volts.\n") != std::string::npos);
    CHECK(plain.out.starts_with("Finds where a low-voltage DC circuit\n"));
}

TEST_CASE("NO_COLOR is respected on a terminal") {
    // Expected: no-color.org; script(1) lends the program a terminal, where there are any: a chroot may have
    // none.
    if (shell("script -qec true /dev/null </dev/null 2>/dev/null").code != 0) {
        MESSAGE("SKIPPED: script(1) lends no terminal here");
        return;
    }
    const auto on_terminal = [](const std::string& set) {
        return shell(set + " script -qec \"" LOSTVOLTS_PROGRAM " --help\" /dev/null </dev/null").out;
    };
    CHECK(on_terminal("env -u NO_COLOR TERM=xterm").find("\x1b[1m") != std::string::npos);
    CHECK(on_terminal("env NO_COLOR=1 TERM=xterm").find('\x1b') == std::string::npos);
    CHECK(on_terminal("env -u NO_COLOR TERM=dumb").find('\x1b') == std::string::npos);
}

TEST_CASE("an answer that can't be written is said and never a crash") {
    // Expected: ENOSPC from /dev/full; a closed pipe is no trouble.
    const Ended full = shell(program + " --help 2>&1 >/dev/full");
    CHECK(full.code == exit_bad_input);
    CHECK(full.out == "lostvolts: the answer could not be written: No space left on device\n");
    const Folder folder;
    shell("{ sleep 0.2; " + program + " --help; echo $? >'" + folder.path("code") + "'; } | :");
    std::ifstream code(folder.path("code"));
    int ended = -1;
    code >> ended;
    CHECK(ended == 0);
    CHECK(shell(program + " --help >&- 2>/dev/null").code == exit_bad_input);
}

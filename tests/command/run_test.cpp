// The words on the command line: what is understood, and what is said when they are not.
#include "viewer/command/command.h"

#include <doctest/doctest.h>

#include <sstream>

#include "viewer/command/style.h"

using namespace lostvolts;

namespace {

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

void check_refused(const std::vector<std::string>& words, std::string_view message) {
    const Answer a = run(words);
    CHECK(a.code == exit_bad_input);
    CHECK(a.out.empty());
    CHECK(a.err == message);
}

} // namespace

TEST_CASE("the program alone lists its commands and is done") {
    // Expected: DESIGN, "Commands".
    const Answer alone = run({}), asked = run({"--help"});
    CHECK(alone.code == exit_done);
    CHECK(alone.out == asked.out);
    CHECK(alone.err.empty());
    for (const char* command : {"\n  check ", "\n  predict ", "\n  locate "}) CHECK(has(alone.out, command));
    CHECK(has(alone.out, "2 on bad\ninput"));
}

TEST_CASE("each command's help has an example and its options") {
    // Expected: DESIGN, "Commands".
    for (const std::string command : {"check", "predict", "locate"}) {
        CAPTURE(command);
        const Answer a = run({command, "--help"});
        CHECK(a.code == exit_done);
        CHECK(a.err.empty());
        CHECK(has(a.out, "Example: lostvolts " + command + " "));
        CHECK(has(a.out, "--json"));
        CHECK(has(a.out, "--strict"));
        CHECK(run({command, "-h"}).out == a.out);
    }
    CHECK(has(run({"predict", "--help"}).out, "--condition CONDITION"));
}

TEST_CASE("help fits forty columns") {
    // Expected: the narrowest screen that command.h promises.
    for (const std::vector<std::string>& words :
         {std::vector<std::string>{}, {"check", "-h"}, {"predict", "-h"}, {"locate", "-h"}}) {
        std::istringstream lines(run(words, {.columns = 40}).out);
        for (std::string line; std::getline(lines, line);) CHECK_MESSAGE(width_of(line) <= 40, line);
    }
}

TEST_CASE("colour is in the answer only where the screen has it") {
    // Expected: command.h.
    CHECK(!has(run({}, {.colour = false}).out, "\x1b"));
    CHECK(has(run({}, {.colour = true}).out, "\x1b[1m"));
}

TEST_CASE("the version is the project's") {
    // Expected: CMakeLists.txt, project(lostvolts VERSION ...).
    const Answer a = run({"--version"});
    CHECK(a.code == exit_done);
    CHECK(a.out.starts_with("lostvolts "));
    CHECK(a.out.ends_with(".0\n"));
}

TEST_CASE("what is not understood is said in one sentence with what to write") {
    // Expected, by hand: messages pinned word for word.
    check_refused({"predct"}, "there is no command \"predct\"\n  did you mean \"predict\"?\n");
    check_refused({"solder"}, "there is no command \"solder\"\n  lostvolts --help lists the commands\n");
    check_refused({""}, "there is no command \"\"\n  lostvolts --help lists the commands\n");
    check_refused({"--hlp"}, "lostvolts has no option \"--hlp\"\n  did you mean \"--help\"?\n");
    check_refused({"locate", "a.toml", "--jsn"},
                  "locate has no option \"--jsn\"\n  did you mean \"--json\"?\n");
    check_refused({"locate"}, "locate needs READINGS: the file of readings; it names its circuit\n"
                              "  Example: lostvolts locate readings.toml\n");
    check_refused({"check"},
                  "check needs FILE: circuits, readings and studies' orders, told apart by their content\n"
                  "  Example: lostvolts check circuit.toml readings.toml\n");
    check_refused({"locate", "a.toml", "b.toml"},
                  "locate has no use for \"b.toml\"\n  Example: lostvolts locate readings.toml\n");
    check_refused(
        {"predict", "a.toml", "--state"},
        "predict: --state needs a value after it\n  Example: lostvolts predict circuit.toml --state run "
        "--condition \"corroded pump ground\"\n");
}

TEST_CASE("an escape code among the words reaches no terminal") {
    // Expected, by hand.
    CHECK(!has(run({"\x1b[2J"}, {.colour = true}).err, "\x1b"));
}

TEST_CASE("a file may have a command's name") {
    // Expected, by hand: the file is not there, and it is the file that is spoken of.
    const Answer a = run({"check", "predict"});
    CHECK(a.code == exit_bad_input);
    CHECK(has(a.err, "predict: "));
}

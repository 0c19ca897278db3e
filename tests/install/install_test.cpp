// What `cmake --install` leaves: a program that works from anywhere, its window, its pages, and the library.
#include <doctest/doctest.h>

#include <algorithm>
#include <set>
#include <sstream>
#include <vector>

#include "tests/install/installed.h"

using namespace lostvolts::install_tests;
namespace fs = std::filesystem;

namespace {

std::string in_quotes(const fs::path& path) {
    std::string quoted = "'";
    return quoted.append(path.string()).append("'");
}
std::string installed_program() { return in_quotes(prefix() / "bin/lostvolts"); }
fs::path sprayer() { return prefix() / "share/lostvolts/circuits/orchard_sprayer"; }

std::vector<fs::path> pages() {
    std::vector<fs::path> all;
    for (const auto& page : fs::directory_iterator(prefix() / "share/man/man1")) all.push_back(page.path());
    std::sort(all.begin(), all.end());
    return all;
}

/// The commands that the program's help lists.
std::set<std::string> commands() {
    std::istringstream lines(run_shell(installed_program() + " --complete ''").out);
    std::set<std::string> names;
    std::string word;
    std::getline(lines, word);
    REQUIRE(word == "words");
    while (lines >> word) names.insert(word);
    REQUIRE(names.contains("locate"));
    return names;
}

/// What bash offers for the last of these words.
std::vector<std::string> offered(const std::string& words, const std::string& setting = "") {
    std::string script = "PATH=" + in_quotes(prefix() / "bin") + ":$PATH\n" + setting;
    script += "\n. /usr/share/bash-completion/bash_completion\n. ";
    script += in_quotes(prefix() / "share/bash-completion/completions/lostvolts");
    script +=
        "\nCOMP_WORDS=(" + words + ")\nCOMP_CWORD=$((${#COMP_WORDS[@]}-1))\nCOMP_LINE=\"${COMP_WORDS[*]}\"\n";
    script += "COMP_POINT=${#COMP_LINE}\n_lostvolts\nprintf '%s\\n' \"${COMPREPLY[@]}\"\n";
    const fs::path file = prefix().parent_path() / "complete.bash";
    {
        FILE* out = fopen(file.c_str(), "w");
        REQUIRE(out);
        fputs(script.c_str(), out);
        fclose(out);
    }
    const ShellEnded ended = run_shell("bash --norc " + in_quotes(file));
    INFO(ended.out);
    std::vector<std::string> lines;
    std::istringstream in(ended.out);
    for (std::string line; std::getline(in, line);)
        if (!line.empty()) lines.push_back(line);
    return lines;
}

bool has(const std::vector<std::string>& lines, const std::string& line) {
    return std::find(lines.begin(), lines.end(), line) != lines.end();
}

} // namespace

TEST_CASE("the installed program locates the bundled fault from any folder") {
    // Expected: circuits/orchard_sprayer/README.md, the pump ground.
    const ShellEnded ended =
        run_shell("cd / && " + installed_program() + " locate " + in_quotes(sprayer() / "readings.toml"));
    CHECK(ended.code == 0);
    CHECK(ended.out.find("The ground \"pump ground\" is bad") != std::string::npos);
}

TEST_CASE("the installed program becomes its own window program") {
    // Expected: without a display the window says so; without the window's program, the program says which
    // file is missing. Both differ from the build's own, which lies beside build/lostvolts.
    const std::string view = "cd / && env -u DISPLAY -u WAYLAND_DISPLAY " + installed_program() + " view ";
    const fs::path window = prefix() / "libexec/lostvolts/lostvolts-window";
    REQUIRE(fs::exists(window));
    const ShellEnded shown = run_shell(view + in_quotes(sprayer() / "readings.toml"));
    CHECK(shown.code == 3);
    CHECK(shown.out.find("the window can't be started") == std::string::npos);
    CHECK(shown.out.find("display") != std::string::npos);
    const ShellEnded bundled = run_shell(view); // nothing named: a bundled job
    CHECK(bundled.out == shown.out);

    fs::rename(window, window.string() + ".away");
    const ShellEnded lost = run_shell(view + in_quotes(sprayer() / "readings.toml"));
    fs::rename(window.string() + ".away", window);
    CHECK(lost.code == 3);
    CHECK(lost.out ==
          "lostvolts: the window can't be started: " + window.string() + ": No such file or directory\n");
}

TEST_CASE("every command has a manual page that tells all its options and two typesetters accept") {
    // Expected: the command's own help; groff -ww and mandoc -T lint have nothing to say.
    std::set<std::string> named;
    for (const fs::path& page : pages()) {
        CAPTURE(page);
        const ShellEnded groff = run_shell("groff -ww -z -Tutf8 -man " + in_quotes(page));
        CHECK(groff.out == "");
        CHECK(groff.code == 0);
        const ShellEnded mandoc = run_shell("mandoc -T lint -W style " + in_quotes(page));
        CHECK(mandoc.out == "");
        CHECK(mandoc.code == 0);
        named.insert(page.stem().string());
    }
    CHECK(named.contains("lostvolts"));
    for (const std::string& command : commands()) {
        CAPTURE(command);
        REQUIRE(named.contains("lostvolts-" + command));
        const std::string page =
            run_shell("MANWIDTH=200 man -E UTF-8 -l " +
                      in_quotes(prefix() / "share/man/man1" / ("lostvolts-" + command + ".1")) + " | col -bx")
                .out;
        std::istringstream help(run_shell(installed_program() + " " + command + " --help").out);
        int options = 0;
        for (std::string word; help >> word;) {
            if (!word.starts_with("--") && !word.starts_with("[--")) continue;
            word = word.substr(word.find('-'));
            word = word.substr(0, word.find_first_not_of("abcdefghijklmnopqrstuvwxyz-"));
            if (word == "--help" || word == "--store")
                continue; // the first of the text, the second of a footer
            ++options;
            CHECK_MESSAGE(page.find(word) != std::string::npos, word);
        }
        if (command != "records") CHECK(options > 0);
    }
}

TEST_CASE("a page that the typesetters find fault with is noticed") {
    // Expected, by hand: an unknown macro and a missing date.
    const fs::path bad = prefix().parent_path() / "bad.1";
    {
        FILE* out = fopen(bad.c_str(), "w");
        fputs(".TH BAD 1\n.SH NAME\nbad \\- bad\n.NO_SUCH\n", out);
        fclose(out);
    }
    CHECK(run_shell("groff -ww -z -Tutf8 -man " + in_quotes(bad)).out != "");
    CHECK(run_shell("mandoc -T lint -W style " + in_quotes(bad)).out != "");
}

TEST_CASE("bash completes commands, options, files and the names in the circuit") {
    // Expected, by hand, from circuits/orchard_sprayer/circuit.toml.
    const auto first = offered("lostvolts ''");
    CHECK(std::set<std::string>(first.begin(), first.end()) == commands());
    CHECK(offered("lostvolts pre") == std::vector<std::string>{"predict"});
    CHECK(has(offered("lostvolts predict --"), "--condition"));
    CHECK(!has(offered("lostvolts predict --json --"), "--json"));
    CHECK(offered("lostvolts records find --fr") == std::vector<std::string>{"--from"});
    const std::string circuit = in_quotes(sprayer() / "circuit.toml"),
                      readings = in_quotes(sprayer() / "readings.toml");
    const auto states = offered("lostvolts predict " + circuit + " --state ''");
    CHECK(has(states, "run"));
    CHECK(has(states, "relay\\ out"));
    CHECK(has(offered("lostvolts predict " + circuit + " --condition co"), "corroded\\ pump\\ ground"));
    CHECK(has(offered("lostvolts predict " + circuit + " --condition '\"corr'"), "corroded pump ground"));
    CHECK(offered("lostvolts view " + readings + " --load ri") == std::vector<std::string>{"rinse\\ pump"});
    CHECK(offered("lostvolts view --what ''") == std::vector<std::string>{"loop", "staircase", "suspects"});
    CHECK(offered("lostvolts size --marine c") == std::vector<std::string>{"critical"});
    const auto files = offered("lostvolts check cir", "cd " + in_quotes(sprayer()));
    CHECK(files == std::vector<std::string>{"circuit.toml"});
    CHECK(offered("lostvolts locate --json next", "cd " + in_quotes(sprayer())).empty()); // a picture
    CHECK(has(offered("lostvolts waveform next", "cd " + in_quotes(sprayer())), "next_reading.png"));
}

TEST_CASE("the desktop entry is valid and starts the program with its own icon") {
    // Expected: desktop-file-validate of freedesktop.org's desktop-file-utils has nothing to say.
    const fs::path entry = prefix() / "share/applications/lostvolts.desktop";
    const ShellEnded valid = run_shell("desktop-file-validate " + in_quotes(entry));
    CHECK(valid.out == "");
    CHECK(valid.code == 0);
    CHECK(text_of(entry).find("\nIcon=lostvolts\n") != std::string::npos);
    CHECK(text_of(prefix() / "share/icons/hicolor/scalable/apps/lostvolts.svg").find("<svg") !=
          std::string::npos);
}

TEST_CASE("a program of somebody else's is built against the installed library by CMake and by pkg-config") {
    // Expected: what `predict` says of the same circuit. The headers are built all in one file besides.
    const std::string source = in_quotes(fs::path(LOSTVOLTS_SOURCE) / "tests/install/example"),
                      build = in_quotes(prefix().parent_path() / "example"),
                      circuit = in_quotes(sprayer() / "circuit.toml");
    const std::string flags = "-Wall -Werror " LOSTVOLTS_SANITIZERS;
    const ShellEnded made = run_shell(
        "cmake -S " + source + " -B " + build +
        " -G Ninja -DCMAKE_BUILD_TYPE=None -DCMAKE_CXX_COMPILER=" LOSTVOLTS_COMPILER " -DCMAKE_CXX_FLAGS='" +
        flags + "' -DCMAKE_PREFIX_PATH=" + in_quotes(prefix()) +
        " -DHEADERS=" + in_quotes(prefix() / "include/lostvolts") + " && cmake --build " + build);
    INFO(made.out);
    REQUIRE(made.code == 0);
    const ShellEnded told = run_shell(build + "/worst_drop " + circuit);
    CHECK(told.out == "feed wire: 0.157 V\n"); // README.md, predict
    CHECK(run_shell(build + "/every_header").code == 0);

    fs::path packages; // lib/pkgconfig or lib/x86_64-linux-gnu/pkgconfig
    for (const auto& entry : fs::recursive_directory_iterator(prefix()))
        if (entry.path().filename() == "lostvolts.pc") packages = entry.path().parent_path();
    const std::string ask = "PKG_CONFIG_PATH=" + in_quotes(packages) + " pkg-config ";
    CHECK(run_shell(ask + "--modversion lostvolts").out == LOSTVOLTS_VERSION "\n");
    const ShellEnded plain = run_shell("eval " LOSTVOLTS_COMPILER " " LOSTVOLTS_SANITIZERS " -o " + build +
                                       "/plain " + source + "/worst_drop.cpp $(" + ask +
                                       "--cflags --libs lostvolts) && " + build + "/plain " + circuit);
    CHECK(plain.out == told.out);
}

// The commands of README.md, run as they stand there, in a copy of the bundled circuits. What stands between
// "begin output" and "end output" below a command is what it prints. LOSTVOLTS_RENEW=1 writes what they print
// now into README.md, to be read before it is committed.
#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

#include <sys/wait.h>

#include "tests/command/folder.h"

namespace {

namespace fs = std::filesystem;
const fs::path readme = LOSTVOLTS_SOURCE "/README.md";
constexpr std::string_view begins = "<!-- begin output -->", ends = "<!-- end output -->", fence = "```";

std::vector<std::string> lines_of(const fs::path& file) {
    std::ifstream in(file);
    std::vector<std::string> lines;
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
}

struct Ran {
    int code = 0;
    std::string out;
};

/// A folder that looks like the tree to whoever types the README's commands.
class Place {
  public:
    Place() {
        fs::copy(LOSTVOLTS_SOURCE "/circuits", folder_.path("circuits"), fs::copy_options::recursive);
        fs::create_directory(folder_.path("build"));
        fs::create_symlink(LOSTVOLTS_PROGRAM, folder_.path("build/lostvolts"));
    }
    Ran run(const std::string& command) const {
        const std::string line = "cd '" + folder_.path(".") +
                                 "' && LOSTVOLTS_RECORDS=kept COLUMNS=80 NO_COLOR=1 sh -c '" +
                                 quoted(command) + "' 2>&1";
        Ran ran;
        FILE* pipe = popen(line.c_str(), "r");
        REQUIRE(pipe);
        std::array<char, 4096> piece{};
        for (std::size_t n; (n = fread(piece.data(), 1, piece.size(), pipe)) > 0;)
            ran.out.append(piece.data(), n);
        const int status = pclose(pipe);
        ran.code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
        return ran;
    }

  private:
    static std::string quoted(const std::string& command) {
        std::string out;
        for (const char c : command) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
        return out;
    }
    lostvolts::command_tests::Folder folder_;
};

/// The README's lines with every output that it shows as the commands print it now. Each command's exit code
/// is checked, a window's is not: there is no display.
std::vector<std::string> as_printed(const std::vector<std::string>& lines) {
    const Place place;
    std::vector<std::string> out;
    std::string printed;
    for (std::size_t k = 0; k < lines.size(); ++k) {
        const std::string& line = lines[k];
        out.push_back(line);
        if (line.starts_with("    ") && line.find("build/lostvolts ") != std::string::npos) {
            std::string command = line.substr(4);
            while (command.ends_with('\\') && k + 1 < lines.size()) {
                out.push_back(lines[++k]);
                command.pop_back();
                command += lines[k];
            }
            const bool window = command.find("lostvolts view") != std::string::npos &&
                                command.find("--picture") == std::string::npos;
            const Ran ran = window ? Ran{} : place.run(command);
            CHECK_MESSAGE(ran.code == 0, command, "\n", ran.out);
            printed = ran.out;
        } else if (line == begins) {
            out.emplace_back(fence);
            std::istringstream text(printed);
            for (std::string one; std::getline(text, one);) out.push_back(one);
            out.emplace_back(fence);
            while (k + 1 < lines.size() && lines[k + 1] != ends) ++k;
        }
    }
    return out;
}

} // namespace

TEST_CASE("the walk that README.md shows is the bundled one") {
    // Expected: each line of the block stands in the file, in its order, up to the dots.
    const std::vector<std::string> stands = lines_of(readme);
    const std::string file = "circuits/orchard_sprayer/walk.txt";
    const std::vector<std::string> walk = lines_of(LOSTVOLTS_SOURCE "/" + file);
    auto shown = std::find(stands.begin(), stands.end(), "<!-- " + file + " -->");
    REQUIRE(stands.end() - shown > 4);
    auto line = walk.begin();
    int lines = 0;
    for (shown += 2; *shown != "..." && *shown != fence; ++shown, ++lines) {
        line = std::find(line, walk.end(), *shown);
        CHECK_MESSAGE(line != walk.end(), *shown);
    }
    CHECK(lines >= 5);
}

TEST_CASE("every command of README.md prints what stands below it") {
    // Expected: README.md itself, which a person has read.
    const std::vector<std::string> stands = lines_of(readme), printed = as_printed(stands);
    if (std::getenv("LOSTVOLTS_RENEW")) {
        std::ofstream out(readme);
        for (const std::string& line : printed) out << line << '\n';
        return;
    }
    REQUIRE(stands.size() > 50);
    CHECK(stands.size() == printed.size());
    for (std::size_t k = 0; k < std::min(stands.size(), printed.size()); ++k) {
        INFO("README.md:", k + 1);
        REQUIRE(stands[k] == printed[k]);
    }
}

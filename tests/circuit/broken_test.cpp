// The gallery of broken circuits: every message, word for word.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <doctest/doctest.h>

#include "solver/circuit/read.h"

using namespace lostvolts;
namespace fs = std::filesystem;

namespace {

const fs::path gallery = fs::path(LOSTVOLTS_SOURCE) / "tests/circuit/broken";

std::string content(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

std::string described(const Problems& problems) {
    std::string text;
    for (const Problem& problem : problems) {
        if (!text.empty()) text += "\n";
        text.append(describe(problem)).append("\n");
    }
    return text;
}

std::vector<fs::path> broken_files() {
    std::vector<fs::path> files;
    for (const auto& entry : fs::directory_iterator(gallery))
        if (entry.path().extension() == ".toml") files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    return files;
}

} // namespace

TEST_CASE("each broken circuit of the gallery gets exactly the messages that stand beside it") {
    // Expected, by reading: the .txt beside each .toml, judged as a technician would.
    const auto files = broken_files();
    REQUIRE(files.size() >= 20);
    for (const fs::path& file : files) {
        CAPTURE(file.filename().string());
        const auto circuit = read_circuit_text(content(file), file.filename().string());
        CHECK_FALSE(static_cast<bool>(circuit));
        CHECK(described(circuit.problems()) == content(fs::path(file).replace_extension(".txt")));
    }
}

TEST_CASE("every message of the gallery says what to write and points into the line it shows") {
    // Expected, by the house rules: a place, what is wrong, what to write instead.
    for (const fs::path& file : broken_files()) {
        CAPTURE(file.filename().string());
        const std::string text = content(file);
        const auto circuit = read_circuit_text(text, "circuit.toml");
        for (const Problem& problem : circuit.problems()) {
            CAPTURE(problem.what);
            CHECK_FALSE(problem.what.empty());
            CHECK_FALSE(problem.write.empty());
            if (problem.place.line == 0 || problem.excerpt.empty()) continue;
            CHECK(text.find(problem.excerpt) != std::string::npos);
            CHECK(problem.place.column >= 1);
            CHECK(problem.place.column <= static_cast<int>(problem.excerpt.size()) + 1);
        }
    }
}

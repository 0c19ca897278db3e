// The house rules, read from the tree itself.
#include "tests/house/floors.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <set>

using namespace lostvolts::house;
namespace fs = std::filesystem;

namespace {

const fs::path top = LOSTVOLTS_SOURCE;

struct File {
    std::string name; // from the top of the tree
    std::string text;
};

// Every .h and .cpp under the given folders, by name.
std::vector<File> sources(std::initializer_list<const char*> folders) {
    std::vector<File> files;
    for (const auto* folder : folders)
        for (const auto& entry : fs::recursive_directory_iterator(top / folder)) {
            if (entry.path().extension() != ".h" && entry.path().extension() != ".cpp") continue;
            std::ifstream in(entry.path(), std::ios::binary);
            files.push_back({fs::relative(entry.path(), top).generic_string(),
                             {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()}});
        }
    std::sort(files.begin(), files.end(), [](const File& a, const File& b) { return a.name < b.name; });
    return files;
}

} // namespace

TEST_CASE("every include in solver and viewer points to its own room or a lower floor") {
    // Expected: the list of floors in DEVELOPERS.md. floors_test.cpp shows the check failing.
    std::size_t includes = 0;
    for (const auto& file : sources({"solver", "viewer"})) {
        includes += own_includes(file.text).size();
        for (const auto& fault : include_faults(file.name, file.text)) FAIL_CHECK(fault);
    }
    CHECK(includes > 0); // the tree was found and read
}

TEST_CASE("no source file is longer than 400 lines") {
    // Expected: the house rule in DEVELOPERS.md.
    for (const auto& file : sources({"solver", "viewer", "tests"}))
        if (const int lines = line_count(file.text); lines > 400)
            FAIL_CHECK(file.name << ": " << lines << " lines");
}

TEST_CASE("every header begins by saying what it is for and has its guard") {
    // Expected: the house rule in DEVELOPERS.md.
    for (const auto& file : sources({"solver", "viewer", "tests"}))
        if (file.name.ends_with(".h"))
            if (const auto fault = header_fault(file.text); !fault.empty())
                FAIL_CHECK(file.name << ": " << fault);
}

TEST_CASE("no two files define a type of one name") {
    // Expected: one definition of each name in the program ([basic.def.odr] of the C++ standard).
    std::map<std::string, std::string> first;
    for (const auto& file : sources({"solver", "viewer"}))
        for (const auto& name : types_of(file.text))
            if (const auto [at, fresh] = first.emplace(name, file.name); !fresh)
                FAIL_CHECK(file.name << ": " << name << " is a type of " << at->second << " too");
    CHECK(first.size() > 100); // the tree was found and read
}

TEST_CASE("the top of the tree holds the eight things it should and no others") {
    // Expected: the house rule in DEVELOPERS.md. Dot-files and what a build or an editor leaves don't count.
    const std::set<std::string> expected = {"README.md", "DEVELOPERS.md", "CMakeLists.txt", "LICENSE",
                                            "solver",    "circuits",      "viewer",         "tests"};
    std::set<std::string> found;
    for (const auto& entry : fs::directory_iterator(top)) {
        const auto name = entry.path().filename().string();
        if (name.starts_with(".") || name.starts_with("build") || name == "compile_commands.json") continue;
        found.insert(name);
    }
    for (const auto& name : expected)
        if (!found.contains(name)) FAIL_CHECK(name << " is missing");
    for (const auto& name : found)
        if (!expected.contains(name)) FAIL_CHECK(name << " does not belong at the top");
}

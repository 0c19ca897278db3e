#include "tests/house/floors.h"

#include <algorithm>
#include <map>
#include <regex>
#include <sstream>

namespace lostvolts::house {
namespace {

constexpr int no_floor = -1;
constexpr int roof = 10; // files that stand in viewer/ itself: main.cpp

// The floors of DEVELOPERS.md, "The house", lowest first.
int floor_of(std::string_view room) {
    static const std::map<std::string_view, int> floors = {
        {"solver/units", 0},    {"solver/reference", 1}, {"solver/parts", 2},   {"solver/circuit", 3},
        {"solver/network", 4},  {"solver/spinup", 5},    {"solver/locate", 5},  {"solver/sizing", 5},
        {"solver/waveform", 5}, {"solver/lesson", 6},    {"solver/records", 6}, {"solver/study", 7},
        {"viewer/figures", 7},  {"viewer/paper", 8},     {"viewer/window", 8},  {"viewer/command", 9},
        {"viewer", roof}};
    const auto found = floors.find(room);
    return found == floors.end() ? no_floor : found->second;
}

// "solver/parts/wire.h" → "solver/parts"; "viewer/main.cpp" → "viewer".
std::string_view room_of(std::string_view path) { return path.substr(0, path.rfind('/')); }

} // namespace

std::vector<Include> own_includes(std::string_view text) {
    static const std::regex form(R"(^\s*#\s*include\s*(?:"([^"]*)\"|<((?:solver|viewer|tests)/[^>]*)>).*)");
    std::vector<Include> includes;
    std::istringstream lines{std::string(text)};
    std::smatch match;
    int number = 1;
    for (std::string line; std::getline(lines, line); ++number)
        if (std::regex_match(line, match, form))
            includes.push_back({number, match[1].matched ? match[1].str() : match[2].str()});
    return includes;
}

std::string include_fault(std::string_view from, std::string_view path) {
    const auto own = room_of(from), other = room_of(path);
    const int here = floor_of(own), there = floor_of(other);
    const std::string arrow = std::string(own) + " includes \"" + std::string(path) + "\"";
    if (here == no_floor) return std::string(own) + " is no room of the house; give it a floor in floors.cpp";
    if (there == no_floor) return arrow + ", which is in no room; write the path from the top of the tree";
    if (own == other || there < here) return {};
    if (own == "solver/locate" && other == "solver/waveform") return {};
    return arrow + (there == here ? ", a room of its own floor" : ", which is a floor above it");
}

std::vector<std::string> include_faults(std::string_view from, std::string_view text) {
    std::vector<std::string> faults;
    for (const auto& include : own_includes(text))
        if (const auto fault = include_fault(from, include.path); !fault.empty())
            faults.push_back(std::string(from) + ":" + std::to_string(include.line) + ": " + fault);
    return faults;
}

std::string header_fault(std::string_view text) {
    if (!text.starts_with("// ")) return "does not begin with a comment paragraph that says what it is for";
    std::istringstream lines{std::string(text)};
    std::string line;
    while (std::getline(lines, line) && (line.empty() || line.starts_with("//"))) {
    }
    return line == "#pragma once" ? "" : "lacks #pragma once after its first paragraph";
}

std::vector<std::string> types_of(std::string_view text) {
    static const std::regex form(
        R"(^(?:template <.*> )?(?:struct|class|enum class) (\w+)(?: final)?(?: : [^{]*)? \{.*)");
    std::vector<std::string> names;
    std::istringstream lines{std::string(text)};
    std::smatch match;
    bool own = false; // of this file alone: in an unnamed namespace
    for (std::string line; std::getline(lines, line);) {
        if (line == "namespace {") own = true;
        if (line == "} // namespace") own = false;
        if (!own && std::regex_match(line, match, form)) names.push_back(match[1]);
    }
    return names;
}

int line_count(std::string_view text) {
    const auto ends = std::count(text.begin(), text.end(), '\n');
    return static_cast<int>(ends) + (!text.empty() && text.back() != '\n');
}

} // namespace lostvolts::house

// Programs from outside that judge what was written: their words.
#pragma once

#include <cstdio>
#include <string>

namespace lostvolts::command_tests {

/// What a shell's command writes to its standard output.
inline std::string output_of(const std::string& command) {
    std::string text;
    FILE* pipe = popen(command.c_str(), "r");
    if (!pipe) return "no shell";
    char piece[4096];
    while (const std::size_t n = std::fread(piece, 1, sizeof piece, pipe)) text.append(piece, n);
    pclose(pipe);
    return text;
}

} // namespace lostvolts::command_tests

// An installed tree in a temporary folder, made once for the whole test program, and commands run in a shell.
#pragma once

#include <filesystem>
#include <string>

namespace lostvolts::install_tests {

struct ShellEnded {
    int code = -1;
    std::string out; ///< both streams
};
ShellEnded run_shell(const std::string& command);

/// The prefix that the build was installed to; the folder above it is the tests' own.
const std::filesystem::path& prefix();
std::string text_of(const std::filesystem::path& file);

} // namespace lostvolts::install_tests

// A TOML file as Lostvolts reads any: size and nesting bounded before parsing, UTF-8 checked, Windows line
// endings taken as they are, and every table handed on as plain fields with their places. toml++ is seen in
// the .cpp only.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "solver/parts/entry.h"
#include "solver/units/result.h"

namespace lostvolts {

inline constexpr std::size_t largest_file_bytes = 64u << 20; ///< a hundred thousand parts are a quarter of it
inline constexpr int deepest_nesting = 16;

/// The bytes of a file: an error says what it is when it can't be a circuit (missing, a directory, too large,
/// not UTF-8 with the offending line, UTF-16).
Result<std::string> read_text_file(const std::filesystem::path& path);

/// Replaces a file's content in one step: written beside it, synced, renamed over it; the old one stays on
/// any error.
Result<bool> replace_text_file(const std::filesystem::path& path, std::string_view text);

} // namespace lostvolts

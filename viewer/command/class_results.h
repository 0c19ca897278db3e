// The results of a class, one line a game, added to a CSV file that several students may share.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "solver/lesson/practice.h"

namespace lostvolts {

/// The heading of such a file, with its line end.
std::string results_heading();
/// One game as a line of it. `at` is when it ended, as text.
std::string result_line(const Game& game, const Score& score, const std::string& student,
                        const std::string& at);
/// Now, in UTC: 2026-11-25T15:04:05Z.
std::string now_text();

/// Why no result could be added to this file. Asked before a game.
std::optional<Problem> no_place_for_results(const std::filesystem::path& file);
/// Adds a line at the end, under a lock and in one write, with the heading first where the file is new or
/// empty; what stands there already is never touched. Errors: the file can't be opened, locked or written to.
Result<bool> append_result(const std::filesystem::path& file, const std::string& line);

} // namespace lostvolts

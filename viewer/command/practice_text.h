// A game in words, and as JSON.
//
// JSON: {"circuit", "seed", "complaints": [{"state", "part", "looks"}], "readings": [{"state", "quantity",
// "red", "black", "through", "unit", "value", "minutes", "bits", "again", "truth_before", "truth_after"}],
// "minutes", "plan": {"readings": […], "minutes"}, "named": {"part", "kind"}, "hidden": {"part", "kind",
// "value", "unit"}, "right", "found", "economy", "marks", "sure", "why": [sentences], "problems",
// "cautions"}; marks, found, economy and probabilities are shares of 1. "named" is null for one who gave up.
#pragma once

#include <string>

#include "solver/lesson/practice.h"
#include "viewer/command/json.h"

namespace lostvolts {

/// What stands at the start: the machine, the seed, the complaint.
std::string opening_text(const Game& game, int columns);
std::string complaint_text(const Game& game, int columns);
std::string practice_help(int columns);
std::string points_text(const Circuit& circuit, int columns); ///< by the minutes that they take
std::string states_text(const Circuit& circuit, int columns);
std::string parts_text(const Circuit& circuit, int columns);
std::string log_text(const Game& game, int columns); ///< the readings so far
/// run: voltage, red on "fuse out", black on "pump +": 1.26 V. 25.5 min, 31 in all.
std::string taken_text(const Game& game, const Taken& taken, int columns);
/// Right or not, the marks, what each reading told, what the program would have done, and why.
std::string closing_text(const Game& game, const Score& score, int columns);

Json json_of(const Game& game, const Score& score);

} // namespace lostvolts

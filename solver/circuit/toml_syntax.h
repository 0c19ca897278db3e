// Syntax errors of a TOML file in plain words: what stands in the line, what to write, and how to read on as
// if that had been written. Inside this room only.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "solver/units/result.h"

namespace lostvolts {

/// Where a parser stopped and what it said.
struct SyntaxStop {
    int line = 1, column = 1;
    std::string said;
};

struct SyntaxAdvice {
    Place place;
    std::string what, write;
    int line = 0;         ///< the line to replace before trying again; 0: reading can't go on
    std::string instead;  ///< what to take it as
    bool guessed = false; ///< the line's content is a stand-in: say nothing more about it
};

SyntaxAdvice explain_syntax(const std::vector<std::string_view>& lines, const SyntaxStop& stop);

} // namespace lostvolts

// Mistakes as the commands tell them: on stderr for people, as JSON for programs.
#pragma once

#include "solver/units/result.h"
#include "viewer/command/command.h"
#include "viewer/command/json.h"

namespace lostvolts {

/// Each as describe() has it; at most a hundred are spelt out.
std::string report_problems(const Problems& problems);
/// "3 mistakes in 2 files".
std::string count_mistakes(const Problems& problems);

/// The answer of a command that got no further; several mistakes are counted. With json, stdout has
/// {"problems":[…]} besides.
Answer refuse(int code, const Problems& problems, bool json);

/// A name that the file does not have: what is meant by it ("state"), the nearest, and all there are.
Problem unknown_name(std::string_view what, std::string_view name, const std::vector<std::string>& known,
                     std::string file);

} // namespace lostvolts

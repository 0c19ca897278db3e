// Files that a command is about to write, held against those it reads: a slip of the fingers must not replace
// a circuit by a table made of it.
#pragma once

#include <optional>
#include <string_view>

#include "solver/units/result.h"
#include "viewer/command/options.h"

namespace lostvolts {

/// What is wrong with the names of files that the words gave to this command: one without a name or called
/// "-", an output that is one of the files read, or is a circuit, readings or an order, or two outputs in
/// one.
std::optional<Problem> careless_files(std::string_view command, const std::vector<NamedFile>& files);

} // namespace lostvolts

// From a circuit's TOML to a Circuit: every mistake in one pass, each with file, line, column and what to
// write.
#pragma once

#include <filesystem>

#include "solver/circuit/circuit.h"

namespace lostvolts {

Result<Circuit> read_circuit(const std::filesystem::path& path);
/// The same from text; `file` is the name that messages use.
Result<Circuit> read_circuit_text(std::string_view text, std::string file);

/// Mistakes that only show when the parts are seen together: an ideal loop round a battery, a point used
/// once, a part with no way to ground. Errors stop; `remarks` are worth saying and don't.
struct Review {
    Problems errors;
    Problems remarks;
};
Review review(const Circuit& circuit);

} // namespace lostvolts

// What a file that somebody named is, told by its content: a circuit, or readings taken on one.
#pragma once

#include <string>
#include <string_view>

namespace lostvolts {

enum class FileKind { circuit, readings };

/// Readings name their circuit before the first table, or have readings or meters and no parts.
FileKind kind_of_text(std::string_view text);
/// The file that readings say they were taken on, as written there; empty when they don't.
std::string named_circuit(std::string_view text);

} // namespace lostvolts

// What a file on the command line is, told by its content: a circuit, or readings taken on one.
#pragma once

#include <string>

#include "solver/locate/readings.h"

namespace lostvolts {

enum class FileKind { circuit, readings };

/// Readings name their circuit before the first table, or have readings or meters and no parts.
FileKind kind_of_text(std::string_view text);
/// The file that readings say they were taken on, as written there; empty when they don't.
std::string named_circuit(std::string_view text);

/// A circuit for a command that takes one. Readings are refused with the circuit to give instead.
Result<Circuit> open_circuit(const std::string& file, std::string_view command);
/// Readings for a command that takes them. A circuit is refused with how to write readings on it.
Result<Readings> open_readings(const std::string& file, std::string_view command);

} // namespace lostvolts

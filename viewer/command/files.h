// The files that a command is given, opened as what that command takes.
#pragma once

#include <string>

#include "solver/locate/file_kind.h"
#include "solver/locate/readings.h"

namespace lostvolts {

/// A circuit for a command that takes one. Readings are refused with the circuit to give instead.
Result<Circuit> open_circuit(const std::string& file, std::string_view command);
/// Readings for a command that takes them. A circuit is refused with how to write readings on it.
Result<Readings> open_readings(const std::string& file, std::string_view command);

/// What stands in a readings file that is to be added to; nothing where there is none yet. `instead` is what
/// to write where it is a circuit.
Result<std::string> readings_to_add_to(const std::string& file, const char* instead);
/// How readings in that file are to name their circuit. Errors: the way there is no UTF-8.
Result<std::string> circuit_seen_from(const std::string& readings, const std::string& circuit);

// A pipe can be read only once: the same for who has the text already.
Result<Circuit> circuit_in(const std::string& text, const std::string& file, std::string_view command);
Result<Readings> readings_in(const std::string& text, const std::string& file, std::string_view command);

} // namespace lostvolts

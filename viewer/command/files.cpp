#include "viewer/command/files.h"

#include <filesystem>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"

namespace lostvolts {
namespace {

/// A circuit's or a reading's file that can't be one is refused here, before anything is read from it.
Result<std::string> text_of(const std::string& file) { return read_text_file(std::filesystem::path(file)); }

} // namespace

Result<Circuit> open_circuit(const std::string& file, std::string_view command) {
    const auto text = text_of(file);
    if (!text) return text.problems();
    if (kind_of_text(*text) == FileKind::circuit) return read_circuit_text(*text, file);
    const std::string circuit = named_circuit(*text);
    Problem problem;
    problem.file = file;
    problem.what = fmt::format("these are readings; {} takes the circuit they were taken on", command);
    if (!circuit.empty())
        problem.write = fmt::format("write  lostvolts {} {}", command,
                                    (std::filesystem::path(file).parent_path() / circuit).string());
    return problem;
}

Result<Readings> open_readings(const std::string& file, std::string_view command) {
    const auto text = text_of(file);
    if (!text) return text.problems();
    if (kind_of_text(*text) == FileKind::readings) return read_readings(std::filesystem::path(file));
    Problem problem;
    problem.file = file;
    problem.what = fmt::format("this is a circuit; {} takes readings taken on one", command);
    problem.write = fmt::format("write a file of readings that begins with  circuit = \"{}\"",
                                std::filesystem::path(file).filename().string());
    return problem;
}

} // namespace lostvolts

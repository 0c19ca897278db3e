#include "viewer/command/files.h"

#include <filesystem>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "solver/circuit/walk.h"
#include "solver/study/order.h"
#include "solver/units/code_points.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

/// What messages call a file.
std::string called(const std::string& file) { return file == "-" ? "standard input" : file; }

/// Said of a file without anything in it, instead of all that it lacks.
std::optional<Problem> blank(const std::string& text, const std::string& file) {
    if (text.find_first_not_of(" \t\r\n") != std::string::npos) return std::nullopt;
    return Problem{
        called(file), {}, "is empty", "check that this is the right file, and that it was saved", ""};
}

std::optional<Problem> order(const std::string& text, const std::string& file) {
    if (!is_order(text)) return std::nullopt;
    return Problem{called(file),
                   {},
                   "this is an order for a study, no circuit and no readings",
                   fmt::format("write  lostvolts study {}", file),
                   ""};
}

std::optional<Problem> walk(const std::string& text, const std::string& file) {
    if (!is_walk(text)) return std::nullopt;
    return Problem{called(file),
                   {},
                   "this is a walk along the wires, no circuit's file yet",
                   fmt::format("write  lostvolts draft {} -o circuit.toml", file),
                   ""};
}

} // namespace

Result<Circuit> circuit_in(const std::string& text, const std::string& file, std::string_view command) {
    if (auto problem = blank(text, file)) return *problem;
    if (auto problem = order(text, file)) return *problem;
    if (auto problem = walk(text, file)) return *problem;
    if (kind_of_text(text) == FileKind::circuit) return read_circuit_text(text, called(file));
    const std::string circuit = named_circuit(text);
    Problem problem;
    problem.file = called(file);
    problem.what = fmt::format("these are readings; {} takes the circuit they were taken on", command);
    if (!circuit.empty())
        problem.write =
            fmt::format("write  lostvolts {} {}", command, (folder_beside(file) / circuit).string());
    return problem;
}

Result<Readings> readings_in(const std::string& text, const std::string& file, std::string_view command) {
    if (auto problem = blank(text, file)) return *problem;
    if (auto problem = order(text, file)) return *problem;
    if (auto problem = walk(text, file)) return *problem;
    if (kind_of_text(text) == FileKind::readings)
        return read_readings_beside(text, called(file), folder_beside(file));
    Problem problem;
    problem.file = called(file);
    problem.what = fmt::format("this is a circuit; {} takes readings taken on one", command);
    problem.write = "write a file of readings that begins with  circuit = \"circuit.toml\"";
    if (file != "-")
        problem.write = fmt::format("write a file of readings that begins with  circuit = \"{}\"",
                                    std::filesystem::path(file).filename().string());
    return problem;
}

Result<std::string> readings_to_add_to(const std::string& file, const char* instead) {
    std::error_code ignored;
    if (!fs::exists(file, ignored)) return std::string();
    auto text = read_text_file(file);
    if (text && !text->empty() && kind_of_text(*text) != FileKind::readings)
        return Problem{file, {}, "is a circuit, not readings", instead, ""};
    return text;
}

Result<std::string> circuit_seen_from(const std::string& readings, const std::string& circuit) {
    std::error_code ignored;
    const fs::path folder = fs::absolute(readings).parent_path();
    const std::string name = fs::proximate(fs::absolute(circuit), folder, ignored).generic_string();
    if (utf8(code_points(name)) == name) return name;
    return Problem{"",
                   {},
                   "the way from the readings to the circuit is not UTF-8 text, which TOML needs",
                   "rename it, or write the readings beside the circuit",
                   ""};
}

Result<Circuit> open_circuit(const std::string& file, std::string_view command) {
    const auto text = read_text_file(file);
    if (!text) return text.problems();
    return circuit_in(*text, file, command);
}

Result<Readings> open_readings(const std::string& file, std::string_view command) {
    const auto text = read_text_file(file);
    if (!text) return text.problems();
    return readings_in(*text, file, command);
}

} // namespace lostvolts

#include "viewer/command/files.h"

#include <algorithm>
#include <filesystem>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"

namespace lostvolts {
namespace {

std::string_view trimmed(std::string_view text) {
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
    while (!text.empty() && blank(text.front())) text.remove_prefix(1);
    while (!text.empty() && blank(text.back())) text.remove_suffix(1);
    return text;
}

template <class Visit> void each_line(std::string_view text, Visit visit) {
    if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3); // a byte order mark
    while (!text.empty()) {
        const std::size_t end = std::min(text.find('\n'), text.size());
        if (!visit(trimmed(text.substr(0, end)))) return;
        text.remove_prefix(std::min(end + 1, text.size()));
    }
}

/// What stands after `circuit =` before the first table; nothing when the key is not there.
std::optional<std::string_view> circuit_value(std::string_view text) {
    std::optional<std::string_view> value;
    each_line(text, [&](std::string_view line) {
        if (line.starts_with('[')) return false;
        for (const std::string_view key : {"circuit", "\"circuit\"", "'circuit'"}) {
            if (!line.starts_with(key)) continue;
            const std::string_view rest = trimmed(line.substr(key.size()));
            if (rest.starts_with('=')) value = trimmed(rest.substr(1));
        }
        return !value;
    });
    return value;
}

/// The name in `[[name]]`, blanks and a comment allowed.
std::string_view array_of_tables(std::string_view line) {
    if (!line.starts_with("[[")) return {};
    return trimmed(line.substr(2, std::min(line.find(']'), line.size()) - 2));
}

/// A circuit's or a reading's file that can't be one is refused here, before anything is read from it.
Result<std::string> text_of(const std::string& file) { return read_text_file(std::filesystem::path(file)); }

} // namespace

FileKind kind_of_text(std::string_view text) {
    if (circuit_value(text)) return FileKind::readings;
    bool readings = false, parts = false;
    each_line(text, [&](std::string_view line) {
        const std::string_view table = array_of_tables(line);
        readings = readings || table == "reading" || table == "meter";
        parts = parts || table == "part";
        return !parts;
    });
    return readings && !parts ? FileKind::readings : FileKind::circuit;
}

std::string named_circuit(std::string_view text) {
    const std::string_view value = circuit_value(text).value_or("");
    if (value.size() < 2 || (value[0] != '"' && value[0] != '\'')) return {};
    const std::size_t end = value.find(value[0], 1);
    return end == std::string_view::npos ? "" : std::string(value.substr(1, end - 1));
}

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

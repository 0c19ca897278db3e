#include "solver/locate/file_kind.h"

#include <algorithm>
#include <optional>

#include "solver/units/lines.h"

namespace lostvolts {
namespace {

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

} // namespace lostvolts

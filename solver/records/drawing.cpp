#include "solver/records/drawing.h"

#include <algorithm>

#include <fmt/format.h>

#include "solver/circuit/toml_file.h"
#include "solver/records/sha256.h"

namespace lostvolts {
namespace {

std::string text_of(const TomlValue& table, std::string_view key) {
    const TomlValue* value = table.find(key);
    return value ? value->text : std::string();
}

/// Every text with its length, so that no two different parts write alike.
std::string digestible(const TomlValue& part) {
    std::vector<std::string> fields;
    for (const TomlValue& field : part.items) {
        std::string value = field.text;
        for (const TomlValue& item : field.items)
            value += fmt::format("\n{}:{}", item.text.size(), item.text);
        fields.push_back(fmt::format("{}:{}={}:{}", field.key.size(), field.key, value.size(), value));
    }
    std::sort(fields.begin(), fields.end());
    std::string all;
    for (const std::string& field : fields) all += field + '\n';
    return all;
}

} // namespace

Drawing drawing_of(std::string_view circuit_text) {
    Drawing drawing;
    const TomlFile toml = parse_toml(circuit_text, "");
    Problems ignored;
    std::vector<std::string> parts;
    for (const TomlValue* part : tables_of(toml.root, "part", "", ignored)) {
        drawing.parts.push_back(text_of(*part, "name"));
        if (text_of(*part, "kind") == "motor") drawing.motors.push_back(drawing.parts.back());
        parts.push_back(digestible(*part));
    }
    drawing.readable = toml.problems.empty() && !parts.empty();
    if (parts.empty()) return drawing;
    drawing.name = text_of(toml.root, "name");
    std::sort(parts.begin(), parts.end());
    Sha256 sum;
    sum.add(fmt::format("ground {}\n", text_of(toml.root, "ground")));
    for (const std::string& part : parts) sum.add(fmt::format("part {}\n{}", part.size(), part));
    drawing.digest = sum.hex();
    return drawing;
}

} // namespace lostvolts

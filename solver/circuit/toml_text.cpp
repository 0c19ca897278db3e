#include "solver/circuit/toml_text.h"

#include <algorithm>

#include <fmt/format.h>

namespace lostvolts {

std::string toml_string(std::string_view value) {
    std::string text = "\"";
    for (const char c : value) {
        if (c == '"' || c == '\\')
            text += {'\\', c};
        else if (c == '\n')
            text += "\\n";
        else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F)
            text += fmt::format("\\u{:04X}", static_cast<unsigned>(c));
        else
            text += c;
    }
    return text + "\"";
}

std::string toml_key(std::string_view key) {
    const bool plain = !key.empty() && std::all_of(key.begin(), key.end(), [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
               c == '-';
    });
    return plain ? std::string(key) : toml_string(key);
}

} // namespace lostvolts

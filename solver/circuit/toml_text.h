// Text as TOML writes it.
#pragma once

#include <string>
#include <string_view>

namespace lostvolts {

/// In double quotes, what has to be escaped escaped.
std::string toml_string(std::string_view value);
/// Bare where TOML allows it, else in quotes.
std::string toml_key(std::string_view key);

} // namespace lostvolts

// The GNU units program as an independent converter, when it is on the PATH.
#pragma once

#include <cstdio>
#include <cstdlib>
#include <optional>
#include <string>

namespace gnu_units {

/// `expression` in `unit`, by `units -t -d 15` (it gives no more digits); nothing when the program is missing
/// or refuses.
inline std::optional<double> convert(const std::string& expression, const std::string& unit) {
    const std::string command = "units -t -d 15 '" + expression + "' '" + unit + "' 2>/dev/null";
    std::FILE* pipe = popen(command.c_str(), "r");
    if (!pipe) return std::nullopt;
    char line[200] = "";
    const bool read = std::fgets(line, sizeof line, pipe) != nullptr;
    if (pclose(pipe) != 0 || !read) return std::nullopt;
    char* end = nullptr;
    const double value = std::strtod(line, &end);
    return end == line ? std::nullopt : std::optional(value);
}

inline bool present() { return convert("1 m", "m").has_value(); }

} // namespace gnu_units

#include "viewer/window/settings.h"

#include <algorithm>
#include <charconv>
#include <cstdlib>

#include <fmt/format.h>

#include "solver/circuit/toml_file.h"

namespace lostvolts {
namespace {

namespace fs = std::filesystem;

template <class N> void take(const TomlValue& root, std::string_view key, N low, N high, N& to) {
    const TomlValue* value = root.find(key);
    if (!value || value->kind != TomlValue::Kind::number) return;
    N read{};
    const char* end = value->text.data() + value->text.size();
    if (std::from_chars(value->text.data(), end, read).ec == std::errc{}) to = std::clamp(read, low, high);
}

} // namespace

fs::path settings_file() {
    const char* config = std::getenv("XDG_CONFIG_HOME");
    const char* home = std::getenv("HOME");
    fs::path folder;
    if (config && *config == '/')
        folder = config;
    else if (home && *home)
        folder = fs::path(home) / ".config";
    else
        return {};
    return folder / "lostvolts" / "window.toml";
}

Settings read_settings(const fs::path& file) {
    Settings s;
    std::error_code ignored;
    if (file.empty() || !fs::is_regular_file(file, ignored)) return s;
    const auto text = read_text_file(file);
    if (!text) return s;
    const TomlFile toml = parse_toml(*text, file.string());
    constexpr int farthest = 20'000; // beyond any desktop
    take(toml.root, "x", -1, farthest, s.x);
    take(toml.root, "y", -1, farthest, s.y);
    take(toml.root, "width", least_width, farthest, s.width);
    take(toml.root, "height", least_height, farthest, s.height);
    take(toml.root, "scale", least_scale, most_scale, s.scale);
    take(toml.root, "place", 0, 2, s.place);
    if (const TomlValue* look = toml.root.find("look")) s.dark = look->text == "dark";
    return s;
}

void write_settings(const fs::path& file, const Settings& s) {
    if (file.empty()) return;
    std::error_code ignored;
    fs::create_directories(file.parent_path(), ignored);
    if (ignored) return;
    (void)replace_text_file(
        file, fmt::format(
                  "# Where the window of lostvolts stood last. May be deleted.\nx = {}\ny = {}\nwidth = {}\n"
                  "height = {}\nscale = {:.2f}\nlook = \"{}\"\nplace = {}\n",
                  s.x, s.y, s.width, s.height, s.scale, s.dark ? "dark" : "light", s.place));
}

} // namespace lostvolts

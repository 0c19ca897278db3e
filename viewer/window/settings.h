// What the window remembers from one day to the next: where it stood, how large, which look, which place. A
// file in the person's configuration folder; when it can't be read or written nothing is said and nothing is
// lost but that.
#pragma once

#include <filesystem>

namespace lostvolts {

struct Settings {
    int x = -1, y = -1; ///< -1: wherever the desktop puts it
    int width = 1280, height = 800;
    double scale = 1; ///< 1 … 2.5
    bool dark = false;
    int place = 0; ///< 0 bench, 1 lesson, 2 harness
};

inline constexpr double least_scale = 1.0, most_scale = 2.5;
inline constexpr int least_width = 800, least_height = 480;

/// $XDG_CONFIG_HOME/lostvolts/window.toml, else ~/.config/…; empty when neither is known.
std::filesystem::path settings_file();
Settings read_settings(const std::filesystem::path& file);
void write_settings(const std::filesystem::path& file, const Settings& settings);

} // namespace lostvolts

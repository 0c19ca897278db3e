// The window: see where the volts go. Opened by the program's main only; the commands below stay free of it.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

namespace lostvolts {

struct WindowOptions {
    std::filesystem::path file;     ///< a circuit, or readings
    std::filesystem::path settings; ///< what it remembers; empty: nothing
    std::optional<int> place;       ///< 0 bench, 1 lesson, 2 harness; nothing: as remembered
    std::optional<double> scale;    ///< 1 … 2.5
    std::optional<bool> dark;
    std::optional<int> width, height;
    std::string state{};     ///< shown first; empty: the first of the circuit
    std::string condition{}; ///< of the circuit: the Lesson opens with its faults; empty: none
};

struct WindowEnd {
    int code = 0;        ///< 0 closed by the person; 2 the file is wrong; 3 no window can be shown here
    std::string trouble; ///< for stderr
};

/// Shows the window and comes back when it is closed. Throws nothing.
WindowEnd open_window(const WindowOptions& options);

} // namespace lostvolts

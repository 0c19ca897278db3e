// The window as a program of its own, which `lostvolts view FILE` becomes: FILE, "dark" or nothing, scale,
// state, condition. Not for typing by hand.

#include <cstdio>
#include <cstdlib>
#include <string>

#include "viewer/window/settings.h"
#include "viewer/window/window.h"

int main(int argc, char** argv) {
    const auto word = [&](int k) { return k < argc ? std::string(argv[k]) : std::string(); };
    lostvolts::WindowOptions options;
    options.file = word(1);
    options.settings = lostvolts::settings_file();
    if (word(2) == "dark") options.dark = true;
    if (const double scale = std::atof(word(3).c_str()); scale > 1) options.scale = scale;
    options.state = word(4);
    options.condition = word(5);
    const lostvolts::WindowEnd end = lostvolts::open_window(options);
    if (!end.trouble.empty()) std::fprintf(stderr, "%s", end.trouble.c_str());
    return end.code;
}

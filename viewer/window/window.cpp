#include "viewer/window/window.h"

#include <cstdlib>
#include <exception>

#include <dlfcn.h>

#include "viewer/window/app.h"

namespace lostvolts {
namespace {

/// SFML ends the program where there is no display: so X is asked first. SFML has loaded its library already.
bool display_answers() {
    const char* name = std::getenv("DISPLAY");
    if (!name || !*name) return false;
    void* x11 = dlopen("libX11.so.6", RTLD_NOW | RTLD_GLOBAL);
    if (!x11) return false;
    using Open = void* (*)(const char*);
    using Close = int (*)(void*);
    const auto open = reinterpret_cast<Open>(dlsym(x11, "XOpenDisplay"));
    const auto close = reinterpret_cast<Close>(dlsym(x11, "XCloseDisplay"));
    if (!open || !close) return false;
    void* display = open(nullptr);
    if (!display) return false;
    close(display);
    return true;
}

} // namespace

WindowEnd open_window(const WindowOptions& options) {
    WindowEnd end;
    try {
        if (!display_answers())
            return {3, "there is no display to open a window on\n"
                       "  write  lostvolts view FILE --picture OUT.png  for a picture without one\n"};
        const auto app = App::open(options, end);
        while (app && app->frame()) {
        }
    } catch (const std::exception& slip) {
        end = {3, std::string("a slip of the program's own: ") + slip.what() + '\n'};
    }
    return end;
}

} // namespace lostvolts

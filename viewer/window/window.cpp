#include "viewer/window/window.h"

#include <cstdlib>
#include <exception>
#include <memory>

#include <dlfcn.h>

#include "viewer/window/app.h"

namespace lostvolts {
namespace {

using HeldDisplay = std::unique_ptr<void, int (*)(void*)>;

/// SFML ends the program where there is no display: so X is asked first. SFML has loaded its library already.
HeldDisplay reach_display() {
    HeldDisplay none(nullptr, nullptr);
    const char* name = std::getenv("DISPLAY");
    if (!name || !*name) return none;
    void* x11 = dlopen("libX11.so.6", RTLD_NOW | RTLD_GLOBAL);
    if (!x11) return none;
    using Open = void* (*)(const char*);
    using Close = int (*)(void*);
    const auto open = reinterpret_cast<Open>(dlsym(x11, "XOpenDisplay"));
    const auto close = reinterpret_cast<Close>(dlsym(x11, "XCloseDisplay"));
    if (!open || !close) return none;
    return {open(nullptr), close};
}

} // namespace

WindowEnd open_window(const WindowOptions& options) {
    WindowEnd end;
    try {
        HeldDisplay display = reach_display();
        if (!display)
            return {3, "there is no display to open a window on\n"
                       "  write  lostvolts view FILE --picture OUT.png  for a picture without one\n"};
        const auto app = App::open(options, end);
        // Not before the window is there: a display that its last program leaves may begin anew, and answers
        // nobody meanwhile.
        display.reset();
        while (app && app->frame()) {
        }
    } catch (const std::exception& slip) {
        end = {3, std::string("a slip of the program's own: ") + slip.what() + '\n'};
    }
    return end;
}

} // namespace lostvolts

#include <cstdlib>
#include <filesystem>

#include <doctest/doctest.h>

#include "tests/window/display.h"
#include "tests/window/hand.h"

namespace lostvolts::window_tests {

std::unique_ptr<App> opened(const std::string& file, int width, int height, double scale) {
    WindowOptions options;
    options.file = file;
    options.width = width;
    options.height = height;
    options.scale = scale;
    return opened(options);
}

std::unique_ptr<App> opened(const WindowOptions& options) {
    need_display();
    WindowEnd end;
    auto app = App::open(options, end);
    INFO(end.trouble);
    REQUIRE(app);
    app->settle();
    return app;
}

void shoot(App& app, const std::string& name) {
    const char* folder = std::getenv("LOSTVOLTS_SHOTS");
    if (!folder) return;
    app.settle();
    shoot_as_it_is(app, name);
}

void shoot_as_it_is(App& app, const std::string& name) {
    const char* folder = std::getenv("LOSTVOLTS_SHOTS");
    if (!folder) return;
    std::filesystem::create_directories(folder);
    app.shot().saveToFile((std::filesystem::path(folder) / (name + ".png")).string());
}

} // namespace lostvolts::window_tests

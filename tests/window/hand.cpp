#include "tests/window/hand.h"

#include <cstdlib>
#include <filesystem>

#include <doctest/doctest.h>

#include "tests/window/display.h"

namespace lostvolts::window_tests {
namespace {

sf::Event mouse(sf::Event::EventType type, float x, float y) {
    sf::Event event{};
    event.type = type;
    if (type == sf::Event::MouseMoved)
        event.mouseMove = {static_cast<int>(x), static_cast<int>(y)};
    else
        event.mouseButton = {sf::Mouse::Left, static_cast<int>(x), static_cast<int>(y)};
    return event;
}

} // namespace

void Hand::move(float x, float y) {
    app_.take(mouse(sf::Event::MouseMoved, x, y));
    app_.frame();
    app_.frame();
}

void Hand::click(float x, float y) {
    move(x, y);
    app_.take(mouse(sf::Event::MouseButtonPressed, x, y));
    app_.frame();
    app_.take(mouse(sf::Event::MouseButtonReleased, x, y));
    app_.frame();
    app_.frame();
}

void Hand::drag(float x, float y, float to_x, float to_y) {
    move(x, y);
    app_.take(mouse(sf::Event::MouseButtonPressed, x, y));
    app_.frame();
    for (int k = 1; k <= 8; ++k) {
        const float s = static_cast<float>(k) / 8;
        app_.take(mouse(sf::Event::MouseMoved, x + s * (to_x - x), y + s * (to_y - y)));
        app_.frame();
    }
    app_.take(mouse(sf::Event::MouseButtonReleased, to_x, to_y));
    app_.frame();
    app_.frame();
}

void Hand::type(const std::string& utf8) {
    for (const sf::Uint32 letter : sf::String::fromUtf8(utf8.begin(), utf8.end())) {
        sf::Event event{};
        event.type = sf::Event::TextEntered;
        event.text.unicode = letter;
        app_.take(event);
        app_.frame();
    }
}

void Hand::key(sf::Keyboard::Key key, bool control, bool shift) {
    sf::Event event{};
    event.type = sf::Event::KeyPressed;
    event.key = {key, false, control, shift, false};
    app_.take(event);
    app_.frame();
    event.type = sf::Event::KeyReleased;
    event.key.control = event.key.shift = false;
    app_.take(event);
    app_.frame();
    app_.frame();
}

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
    std::filesystem::create_directories(folder);
    app.settle();
    app.shot().saveToFile((std::filesystem::path(folder) / (name + ".png")).string());
}

} // namespace lostvolts::window_tests

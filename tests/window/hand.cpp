#include "tests/window/hand.h"

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

void Hand::strike(sf::Event::KeyEvent key) {
    sf::Event event{};
    event.type = sf::Event::KeyPressed;
    event.key = key;
    app_.take(event);
    app_.frame();
    event.type = sf::Event::KeyReleased;
    event.key = {key.code, false, false, false, false};
    app_.take(event);
    app_.frame();
    app_.frame();
}

void Hand::key(sf::Keyboard::Key key, bool control, bool shift) {
    strike({key, false, control, shift, false});
}

void Hand::alt_key(sf::Keyboard::Key key) { strike({key, true, false, false, false}); }

void Hand::wheel(float x, float y, float notches) {
    move(x, y);
    sf::Event event{};
    event.type = sf::Event::MouseWheelScrolled;
    event.mouseWheelScroll = {sf::Mouse::VerticalWheel, notches, static_cast<int>(x), static_cast<int>(y)};
    app_.take(event);
    app_.frame();
    app_.frame();
}

} // namespace lostvolts::window_tests

// A person at the window, played by events: clicks, keys, typed letters, and frames in between.
#pragma once

#include <string>

#include "viewer/window/app.h"

namespace lostvolts::window_tests {

class Hand {
  public:
    explicit Hand(App& app) : app_(app) {}

    void move(float x, float y);
    void click(float x, float y);
    void drag(float x, float y, float to_x, float to_y);
    void type(const std::string& utf8);
    void key(sf::Keyboard::Key key, bool control = false, bool shift = false);
    void alt_key(sf::Keyboard::Key key);
    void wheel(float x, float y, float notches);
    void enter() { key(sf::Keyboard::Enter); }
    void tab() { key(sf::Keyboard::Tab); }

  private:
    void strike(sf::Event::KeyEvent key);
    App& app_;
};

/// Opens the window on a file; fails the test with the reason when it can't.
std::unique_ptr<App> opened(const std::string& file, int width = 1280, int height = 800, double scale = 1);

std::unique_ptr<App> opened(const WindowOptions& options);

/// Saves a picture of the window into the folder that LOSTVOLTS_SHOTS names, if it does.
void shoot(App& app, const std::string& name);
/// The same without waiting for work that is going on.
void shoot_as_it_is(App& app, const std::string& name);

} // namespace lostvolts::window_tests

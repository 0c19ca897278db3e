// Dear ImGui inside an SFML window: events in, frames out, our own look on it. One host at a time: the
// library keeps one context.
#pragma once

#include <SFML/Graphics/RenderWindow.hpp>
#include <SFML/Window/Cursor.hpp>
#include <SFML/Window/Event.hpp>

#include "viewer/window/painter.h"

struct ImFont;

namespace lostvolts {

/// The pointer's shapes; they must outlive the window.
struct Cursors {
    sf::Cursor arrow, text, hand, sideways;
    bool loaded = false;
};

class Host {
  public:
    Host(sf::RenderWindow& window, const Type& type, Cursors& cursors);
    ~Host();
    Host(const Host&) = delete;
    Host& operator=(const Host&) = delete;

    /// Letters and spacing at this scale, colours for this light. Cheap when nothing has changed.
    void set_look(double scale, Light light);

    void take(const sf::Event& event);
    /// Begins a frame that takes `seconds` after the last one.
    void begin(float seconds);
    /// Draws what was built since begin().
    void draw();

    bool wants_keys() const;  ///< a text field has the keyboard
    bool wants_mouse() const; ///< the pointer is on a panel

    ImFont* plain() const { return plain_; }
    ImFont* bold() const { return bold_; }
    ImFont* large() const { return large_; }
    ImFont* small() const { return small_; }
    double scale() const { return scale_; }
    Light light() const { return light_; }

  private:
    void load_letters();
    void set_style();
    void show_cursor();

    sf::RenderWindow& window_;
    const Type& type_;
    double scale_ = 0;
    Light light_ = Light::light;
    ImFont *plain_ = nullptr, *bold_ = nullptr, *large_ = nullptr, *small_ = nullptr;
    bool pressed_[3] = {};    // a press and release within one frame still count …
    std::vector<int> struck_; // … of keys too
    bool focused_ = true;
    Cursors& cursors_;
    int shown_ = -2;
};

} // namespace lostvolts

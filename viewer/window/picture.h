// A figure that has its place in the window: made again when what it shows or its room has changed, drawn in
// every frame, and asked what lies under the pointer. The whole of it is seen until somebody looks closer,
// unless its letters could not be read so: then as large a part of it as can be read.
#pragma once

#include <functional>
#include <string>

#include "viewer/window/painter.h"

namespace lostvolts {

/// A rectangle of the window, pixels.
struct Pane {
    float x = 0, y = 0, width = 0, height = 0;
    bool holds(float px, float py) const { return px >= x && py >= y && px < x + width && py < y + height; }
};

class Picture {
  public:
    using Make = std::function<Figure(double width, double height)>; ///< points

    /// `key` stands for what is shown: the same key, room and look keep the picture as it is. How closely it
    /// is looked at, and where, outlives a new key.
    void keep(const Pane& pane, const std::string& key, const Type& type, Light light,
              double pixels_per_point, const Make& make);
    void draw(sf::RenderTarget& target) const;
    /// Moves a picture that is larger than its room, by pixels; what would leave the room empty is not done.
    void pan(float dx, float dy);
    /// Looks closer by a factor; the pixel of the window given stays where it is. Never farther than the
    /// whole, never closer than letters 60 pixels high.
    void zoom(double factor, sf::Vector2f about);
    void show_whole();
    /// Moves it until these points and that part are in the room, as far as they have room together; not at
    /// all when they are.
    void bring_up(const std::vector<PointId>& points, PartId part);
    double zoomed() const { return zoom_; } ///< 1: the whole
    bool larger_than_room() const;
    bool taller_than_room() const;
    bool shown() const { return shown_; }
    /// The target under a pixel of the window, or null.
    const Target* under(float x, float y) const;
    /// Where a point of the circuit is in the window; nothing when it is not shown.
    std::optional<sf::Vector2f> place_of(PointId point) const;
    const Pane& pane() const { return pane_; }
    const std::string& says() const { return figure_.says; }
    void hide() { shown_ = false; }

  private:
    void paint_again();
    double zoom_to_read() const;

    Pane pane_;
    std::string key_;
    Light light_ = Light::light;
    const Type* type_ = nullptr;
    double scale_ = 0, zoom_ = 1;
    double readable_ = 1; ///< zoom at which its letters can be read
    bool whole_ = false;  ///< asked for
    sf::Vector2f moved_;
    Figure figure_;
    Painting painting_;
    bool shown_ = false;
};

} // namespace lostvolts

// A Figure (viewer/figures/figure.h) painted with SFML: made into triangles once, drawn as often as there are
// frames. One point of the figure is `scale` pixels.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <SFML/Graphics/Font.hpp>
#include <SFML/Graphics/RenderTarget.hpp>

#include "viewer/figures/figure.h"
#include "viewer/figures/theme.h"
#include "viewer/window/ribbon.h"

namespace lostvolts {

/// DejaVu Sans, the type of every picture.
struct Type {
    sf::Font regular, bold;
    std::string regular_file, bold_file;
};
/// Looked for where Debian has it and beside it; a problem that names the package when it is not there.
Result<bool> load_type(Type& type);

sf::Color screen_colour(Ink ink, Light light, double opacity = 1);

/// A figure made ready for the screen.
struct Painting {
    struct Layer {
        const sf::Texture* letters = nullptr; ///< null: plain colour
        Triangles triangles;
    };
    std::vector<Layer> layers;
    sf::Vector2f size; ///< pixels
    double scale = 1;
    std::vector<Target> targets;
    std::string says;
};

Painting paint(const Figure& figure, const Type& type, Light light, double scale);
void draw(sf::RenderTarget& target, const Painting& painting, sf::Vector2f place);

/// The smallest target at a pixel of the painting, a point before a part; null where there is none. A point
/// within a finger's breadth counts.
const Target* target_at(const Painting& painting, sf::Vector2f pixel);

} // namespace lostvolts

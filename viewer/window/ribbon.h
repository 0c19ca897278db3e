// Lines and outlines as triangles with soft edges, so that they are smooth without multisampling: each edge
// fades over one pixel.
#pragma once

#include <span>
#include <vector>

#include <SFML/Graphics/Color.hpp>
#include <SFML/Graphics/Vertex.hpp>

namespace lostvolts {

using Triangles = std::vector<sf::Vertex>; ///< three vertices each

/// A line of `width` pixels along the path, corners mitred.
void add_ribbon(Triangles& to, std::span<const sf::Vector2f> path, float width, sf::Color colour,
                bool closed = false);
/// The path in pieces: `on` pixels drawn, `off` left out.
std::vector<std::vector<sf::Vector2f>> dashed(std::span<const sf::Vector2f> path, float on, float off);
/// The inside of an outline, by the even-odd rule; its edge is soft where `soft`.
void add_area(Triangles& to, std::span<const sf::Vector2f> outline, sf::Color colour, bool soft);
/// A filled circle.
void add_disc(Triangles& to, sf::Vector2f at, float radius, sf::Color colour);
/// The points of a circle, for a ribbon.
std::vector<sf::Vector2f> round_outline(sf::Vector2f at, float radius);

} // namespace lostvolts

// The handles of Cairo, and how it sets type: the same for measuring and for painting. Inner header.
#pragma once

#include <memory>
#include <string>
#include <string_view>

#include <cairo.h>

namespace lostvolts {

struct FreeCairo {
    void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
    void operator()(cairo_t* c) const { cairo_destroy(c); }
    void operator()(cairo_font_options_t* f) const { cairo_font_options_destroy(f); }
};
using CairoSurface = std::unique_ptr<cairo_surface_t, FreeCairo>;
using CairoBrush = std::unique_ptr<cairo_t, FreeCairo>;

/// Type without hinting: as wide at any scale.
CairoBrush brush_on(cairo_surface_t* surface, double scale);
void set_type(cairo_t* brush, double size, bool bold);
/// Whether this machine has a type with the letters of units. Where there is none Cairo draws the plain Latin
/// ones by itself and boxes for the rest: 180 of what?
bool can_write_units(cairo_t* brush);
/// Cairo stops drawing at text that is not UTF-8, and control characters have no shape.
std::string printable(std::string_view text);

} // namespace lostvolts

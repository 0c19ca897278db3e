#include "viewer/paper/brush.h"

#include "solver/units/code_points.h"

namespace lostvolts {

constexpr const char* family = "DejaVu Sans";

CairoBrush brush_on(cairo_surface_t* surface, double scale) {
    CairoBrush brush(cairo_create(surface));
    const std::unique_ptr<cairo_font_options_t, FreeCairo> font(cairo_font_options_create());
    cairo_font_options_set_hint_style(font.get(), CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(font.get(), CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(font.get(), CAIRO_ANTIALIAS_GRAY);
    cairo_set_font_options(brush.get(), font.get());
    cairo_scale(brush.get(), scale, scale);
    return brush;
}

void set_type(cairo_t* brush, double size, bool bold) {
    cairo_select_font_face(brush, family, CAIRO_FONT_SLANT_NORMAL,
                           bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(brush, size);
}

std::string printable(std::string_view text) {
    std::u32string points = code_points(text);
    for (char32_t& c : points)
        if (c < 0x20 || c == 0x7f) c = U'\uFFFD';
    return utf8(points);
}

} // namespace lostvolts

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

bool can_write_units(cairo_t* brush) {
    set_type(brush, 10, false);
    cairo_scaled_font_t* font = cairo_get_scaled_font(brush);                   // the brush's own
    if (cairo_scaled_font_get_type(font) == CAIRO_FONT_TYPE_USER) return false; // Cairo's
    cairo_glyph_t* glyphs = nullptr;
    int count = 0;
    const auto status = cairo_scaled_font_text_to_glyphs(font, 0, 0, "\u03A9", -1, &glyphs, &count, nullptr,
                                                         nullptr, nullptr);
    const bool there = status == CAIRO_STATUS_SUCCESS && count == 1 && glyphs[0].index != 0;
    cairo_glyph_free(glyphs);
    return there;
}

std::string printable(std::string_view text) {
    std::u32string points = code_points(text);
    for (char32_t& c : points)
        if (c < 0x20 || c == 0x7f) c = U'\uFFFD';
    return utf8(points);
}

} // namespace lostvolts

#include "viewer/paper/paper.h"

#include <algorithm>
#include <array>
#include <cmath>

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <fmt/format.h>

#include "solver/circuit/toml_file.h"
#include "viewer/figures/shapes.h"
#include "viewer/paper/brush.h"

namespace lostvolts {
namespace {

constexpr double most_pixels = 32000; // a side; Cairo's own limit is 32767

cairo_status_t append(void* to, const unsigned char* bytes, unsigned count) {
    static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(bytes), count);
    return CAIRO_STATUS_SUCCESS;
}

bool finite(const std::vector<Position>& path) {
    return std::all_of(path.begin(), path.end(),
                       [](Position p) { return std::isfinite(p.x) && std::isfinite(p.y); });
}

class Painter {
  public:
    Painter(cairo_t* brush, Light light) : c_(brush), light_(light) {}

    void page(const Figure& figure) {
        ink(Ink::paper);
        cairo_paint(c_);
        for (const Shape& shape : figure.shapes) std::visit(*this, shape);
    }

    void operator()(const Stroke& s) {
        if (s.path.size() < 2 || !finite(s.path)) return;
        trace(s.path);
        ink(s.ink);
        cairo_set_line_width(c_, s.width);
        cairo_set_line_join(c_, CAIRO_LINE_JOIN_ROUND);
        cairo_set_line_cap(c_, s.dash == Dash::dotted ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
        const double w = std::max(s.width, 1.0);
        const std::array<double, 2> dashed{4 * w, 2.5 * w}, dotted{0, 2.5 * w};
        cairo_set_dash(c_, (s.dash == Dash::dashed ? dashed : dotted).data(), s.dash == Dash::solid ? 0 : 2,
                       0);
        cairo_stroke(c_);
    }
    void operator()(const Fill& a) {
        if (a.outline.size() < 3 || !finite(a.outline)) return;
        trace(a.outline);
        cairo_close_path(c_);
        ink(a.ink, a.opacity);
        cairo_fill(c_);
    }
    void operator()(const Mark& m) {
        for (const Shape& shape : drawn(m)) std::visit(*this, shape);
    }
    void operator()(const Words& w) {
        if (!finite({w.at}) || w.text.empty()) return;
        const std::string text = printable(w.text);
        set_type(c_, w.size, w.bold);
        cairo_text_extents_t extents;
        cairo_text_extents(c_, text.c_str(), &extents);
        const double back =
            w.align == Align::start ? 0 : extents.x_advance * (w.align == Align::middle ? 0.5 : 1);
        cairo_save(c_);
        cairo_translate(c_, w.at.x, w.at.y);
        if (w.upright) cairo_rotate(c_, -std::acos(-1.0) / 2);
        cairo_move_to(c_, -back, 0);
        ink(w.ink);
        cairo_show_text(c_, text.c_str());
        cairo_restore(c_);
    }

  private:
    void ink(Ink ink, double opacity = 1) {
        const Colour k = colour_of(ink, light_);
        cairo_set_source_rgba(c_, k.red, k.green, k.blue, std::clamp(opacity, 0.0, 1.0));
    }
    void trace(const std::vector<Position>& path) {
        cairo_new_path(c_);
        for (const Position p : path) cairo_line_to(c_, p.x, p.y);
    }

    cairo_t* c_;
    Light light_;
};

Problem failed(std::string what, std::string write) {
    return {"", {}, std::move(what), std::move(write), ""};
}

std::string escaped(std::string_view text) {
    std::string result;
    for (const char c : printable(text)) switch (c) {
        case '&':
            result += "&amp;";
            break;
        case '<':
            result += "&lt;";
            break;
        case '>':
            result += "&gt;";
            break;
        default:
            result += c;
        }
    return result;
}

/// Cairo counts its surfaces, and names the drawing by that: the same figure would differ the second time.
void forget_the_count(std::string& svg) {
    constexpr std::string_view name = "id=\"surface";
    const std::size_t at = svg.find(name);
    if (at == std::string::npos) return;
    const std::size_t end = svg.find('"', at + name.size());
    if (end != std::string::npos) svg.replace(at, end - at, "id=\"picture");
}

/// Cairo writes letters as outlines: what the picture says is put in for those who hear it.
void say_what_it_is(std::string& svg, const Figure& figure) {
    const std::size_t root = svg.find("<svg"), end = svg.find('>', root);
    if (end == std::string::npos) return;
    svg.insert(end + 1, fmt::format("\n<title>{}</title>\n<desc>{}</desc>", escaped(figure.title),
                                    escaped(figure.says)));
}

bool drawable(const Figure& f, double scale) {
    const double longest = std::max(f.width, f.height) * scale,
                 shortest = std::min(f.width, f.height) * scale;
    return std::isfinite(longest) && shortest >= 1 && longest <= most_pixels;
}

} // namespace

std::optional<PaperKind> paper_kind(const std::filesystem::path& path) {
    std::string end = path.extension().string();
    std::transform(end.begin(), end.end(), end.begin(),
                   [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
    if (end == ".svg") return PaperKind::svg;
    if (end == ".pdf") return PaperKind::pdf;
    if (end == ".png") return PaperKind::png;
    return std::nullopt;
}

std::optional<Problem> check_picture_name(const std::filesystem::path& path) {
    if (paper_kind(path)) return std::nullopt;
    return Problem{path.string(), {}, "is not the name of a picture", "end it in .png, .svg or .pdf", ""};
}

Result<std::string> painted(std::span<const Figure> pages, PaperKind kind, const PaperOptions& options) {
    const double scale = options.scale * (kind == PaperKind::png ? options.dpi / 72 : 1);
    if (pages.empty()) return failed("there is nothing to draw", "");
    for (const Figure& page : pages)
        if (!drawable(page, scale))
            return failed(fmt::format("a picture of {:.0f} by {:.0f} can't be drawn", page.width * scale,
                                      page.height * scale),
                          fmt::format("choose a scale that gives sides from 1 to {:.0f}", most_pixels));
    const Figure& first = pages.front();
    const double width = first.width * scale, height = first.height * scale;
    std::string bytes;
    const CairoSurface surface(
        kind == PaperKind::svg ? cairo_svg_surface_create_for_stream(append, &bytes, width, height)
        : kind == PaperKind::pdf
            ? cairo_pdf_surface_create_for_stream(append, &bytes, width, height)
            : cairo_image_surface_create(CAIRO_FORMAT_RGB24, std::lround(width), std::lround(height)));
    if (kind == PaperKind::pdf)
        cairo_pdf_surface_set_metadata(surface.get(), CAIRO_PDF_METADATA_TITLE,
                                       printable(first.title).c_str());
    const CairoBrush brush = brush_on(surface.get(), scale);
    if (!can_write_units(brush.get()))
        return failed("the picture can't be drawn: no type on this machine has the letters of its units",
                      "as root: apt-get install fonts-dejavu-core");
    for (const Figure& page : pages) {
        if (kind == PaperKind::pdf)
            cairo_pdf_surface_set_size(surface.get(), page.width * scale, page.height * scale);
        Painter(brush.get(), options.light).page(page);
        cairo_show_page(brush.get());
        if (kind != PaperKind::pdf) break;
    }
    if (kind == PaperKind::png) cairo_surface_write_to_png_stream(surface.get(), append, &bytes);
    cairo_status_t status = cairo_status(brush.get());
    cairo_surface_finish(surface.get());
    if (status == CAIRO_STATUS_SUCCESS) status = cairo_surface_status(surface.get());
    if (status != CAIRO_STATUS_SUCCESS)
        return failed(fmt::format("the picture can't be drawn: {}", cairo_status_to_string(status)), "");
    if (kind == PaperKind::svg) {
        forget_the_count(bytes);
        say_what_it_is(bytes, first);
    }
    return bytes;
}

Result<std::string> painted(const Figure& figure, PaperKind kind, const PaperOptions& options) {
    return painted(std::span<const Figure>(&figure, 1), kind, options);
}

Result<bool> save_picture(std::span<const Figure> pages, const std::filesystem::path& path,
                          const PaperOptions& options) {
    if (auto problem = check_picture_name(path)) return *problem;
    auto bytes = painted(pages, *paper_kind(path), options);
    if (!bytes) {
        Problems problems = bytes.problems();
        for (Problem& p : problems) p.file = path.string();
        return problems;
    }
    return replace_text_file(path, *bytes);
}

Result<bool> save_picture(const Figure& figure, const std::filesystem::path& path,
                          const PaperOptions& options) {
    return save_picture(std::span<const Figure>(&figure, 1), path, options);
}

} // namespace lostvolts

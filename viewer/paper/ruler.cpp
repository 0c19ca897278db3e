#include "viewer/paper/ruler.h"

#include <algorithm>

#include "solver/units/code_points.h"
#include "viewer/paper/brush.h"
#include "viewer/paper/document.h"

namespace lostvolts {
namespace {

constexpr const char* tab = "    ";

bool is_space(char c) { return c == ' ' || c == '\t' || c == '\n'; }

/// A word with the white space before it.
struct Piece {
    std::string space, word;
};
std::vector<Piece> pieces_of(std::string_view text, bool as_written) {
    std::vector<Piece> pieces;
    for (std::size_t k = 0; k < text.size();) {
        Piece piece;
        for (; k < text.size() && is_space(text[k]); ++k) piece.space += text[k] == '\t' ? tab : " ";
        if (!as_written && !piece.space.empty()) piece.space = pieces.empty() ? "" : " ";
        for (; k < text.size() && !is_space(text[k]); ++k) piece.word += text[k];
        if (!piece.word.empty()) pieces.push_back(std::move(piece));
    }
    return pieces;
}

} // namespace

struct Ruler::Brush {
    CairoSurface surface{cairo_image_surface_create(CAIRO_FORMAT_A8, 1, 1)};
    CairoBrush brush = brush_on(surface.get(), 1);
};

Ruler::Ruler() : brush_(std::make_unique<Brush>()) {}
Ruler::~Ruler() = default;

double Ruler::width(std::string_view text, double size, bool bold) const {
    set_type(brush_->brush.get(), size, bold);
    cairo_text_extents_t extents;
    cairo_text_extents(brush_->brush.get(), printable(text).c_str(), &extents);
    return extents.x_advance;
}

double Ruler::widest_word(std::string_view text, double size, bool bold) const {
    double widest = 0;
    for (const Piece& piece : pieces_of(text, false))
        widest = std::max(widest, width(piece.word, size, bold));
    return widest;
}

std::vector<std::string> Ruler::lines(std::string_view whole, double room, double size, bool bold,
                                      bool as_written) const {
    std::vector<std::string> all;
    const std::string text = presentable(whole);
    const auto wide = [&](std::string_view s) { return width(s, size, bold); };
    const auto break_up = [&](std::string_view part) {
        std::string line;
        double used = 0;
        for (Piece& piece : pieces_of(part, as_written)) {
            const double space = wide(piece.space), word = wide(piece.word);
            if (used + space + word <= room) {
                line += piece.space + piece.word;
                used += space + word;
                continue;
            }
            if (!line.empty()) all.push_back(std::move(line)), line.clear(), used = 0;
            if (word > room) // letter by letter, at least one to a line
                for (const char32_t c : code_points(piece.word)) {
                    const std::string letter = utf8({&c, 1});
                    const double more = wide(letter);
                    if (used + more > room && !line.empty())
                        all.push_back(std::move(line)), line.clear(), used = 0;
                    line += letter;
                    used += more;
                }
            else
                line = std::move(piece.word), used = word;
        }
        all.push_back(std::move(line));
    };
    if (!as_written) {
        break_up(text);
        return all;
    }
    std::string_view left = text;
    while (!left.empty() && left.back() == '\n') left.remove_suffix(1);
    for (std::size_t end; (end = left.find('\n')) != std::string_view::npos; left.remove_prefix(end + 1))
        break_up(left.substr(0, end));
    break_up(left);
    return all;
}

} // namespace lostvolts

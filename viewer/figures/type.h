// How wide words are, without a font at hand: advance widths of DejaVu Sans, which paper and window both set.
// Pictures are laid out with these, so that labels keep clear of one another.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "viewer/figures/figure.h"

namespace lostvolts {

/// Of UTF-8 text in type of that size, in points. Exact for Latin letters; other scripts by their mean.
double text_width(std::string_view text, double size, bool bold = false);

/// Of one letter.
double letter_width(char32_t letter, double size, bool bold = false);

/// The text, or as much of its beginning as fits with "…" behind it.
std::string fitted(std::string_view text, double width, double size, bool bold = false);

/// At most `lines` lines no wider than `width`, broken at spaces; the last is cut with "…" when more is left.
std::vector<std::string> in_lines(std::string_view text, double width, double size, int lines,
                                  bool bold = false);

/// Whether the lines hold all of the text, no word of it broken or cut.
bool hold_whole_words(const std::vector<std::string>& lines, std::string_view text);

/// As few lines as in_lines() needs, about equally long; none ends inside a word that in_lines() leaves
/// whole.
std::vector<std::string> in_even_lines(std::string_view text, double width, double size, int lines,
                                       bool bold = false);

/// The rectangle that words cover: from the top of a capital to the bottom of a descender.
struct Box {
    Position low, high;
};
Box box_of(const Words& words);
bool overlap(const Box& a, const Box& b, double slack = 0);

} // namespace lostvolts

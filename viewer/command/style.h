// Emphasis in text for people, and the last step before text reaches a screen. Emphasis is carried by single
// control characters until finish() turns them into a terminal's colours or drops them; every other control
// character, such as one smuggled in by a part's name, is shown as U+FFFD and moves no cursor.
#pragma once

#include <string>
#include <string_view>

namespace lostvolts {

std::string strong(std::string_view text); ///< headings
std::string alarm(std::string_view text); ///< over a limit, or not to be trusted; never without a word for it
std::string faint(std::string_view text); ///< asides

/// Text as it is printed: with colours or without.
std::string finish(std::string_view text, bool colour);

/// Columns of a terminal that text takes: code points, emphasis not counted.
int width_of(std::string_view text);

/// Lines of at most `columns` columns, without a last line end, broken at spaces; a number stays with its
/// unit and a short quoted name in one piece. A word that is longer than a line is cut. Emphasis goes on over
/// a break.
std::string wrapped(std::string_view text, int columns, int first_indent = 0, int indent = 0);

} // namespace lostvolts

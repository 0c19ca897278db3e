// How wide words are on paper, and where lines of them end. Measured by what paints them, so that text in any
// script keeps within the page.
#pragma once

#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace lostvolts {

class Ruler {
  public:
    Ruler();
    ~Ruler();

    /// Of one line, in points.
    double width(std::string_view text, double size, bool bold = false) const;
    /// Lines no wider than `width`, broken at spaces, or within a word that is longer than a line.
    /// `as_written` keeps the text's own lines and spaces; else any white space is one space. At least one
    /// line.
    std::vector<std::string> lines(std::string_view text, double width, double size, bool bold = false,
                                   bool as_written = false) const;
    /// The widest word of a text.
    double widest_word(std::string_view text, double size, bool bold = false) const;

  private:
    struct Brush;
    std::unique_ptr<Brush> brush_; ///< Cairo's, which no header names
};

} // namespace lostvolts

// What the lines of a picture mean: a sample of each and its name, side by side, in as many rows as it takes.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "viewer/figures/figure.h"

namespace lostvolts {

struct LegendEntry {
    std::string name;
    Ink ink = Ink::text;
    double width = 1.5;
    Dash dash = Dash::solid;
    double opacity = 1; ///< below 1: a band
    std::optional<MarkShape> mark = std::nullopt;
};

class Legend {
  public:
    void add(LegendEntry entry) { entries_.push_back(std::move(entry)); }
    /// Draws with its first base line at `from`; gives the last one.
    double draw(Figure& figure, Position from, double width, double size = 9) const;

  private:
    std::vector<LegendEntry> entries_;
};

} // namespace lostvolts

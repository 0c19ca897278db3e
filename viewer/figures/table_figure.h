// A table as a picture, for a wall: the signature of each fault, a row for every condition. Cells may say
// that they lie above or below what is sound.
#pragma once

#include <string>
#include <vector>

#include "viewer/figures/figure.h"

namespace lostvolts {

struct FigureCell {
    enum class Beside {
        none,
        same,
        higher,
        lower
    }; ///< the sound circuit's; told by an arrow, not colour alone
    std::string text;
    Beside beside = Beside::none;
};

struct FigureRow {
    std::string name;
    std::vector<FigureCell> cells;
    bool strong = false; ///< the sound circuit's row
};

struct TableView {
    std::string title, says;
    std::string names; ///< heading of the first column
    std::vector<std::string> headings;
    std::vector<FigureRow> rows;
    std::vector<std::string> notes; ///< below
    double widest = 1100;           ///< columns are wrapped to stay within
};

Figure table_figure(const TableView& view);

} // namespace lostvolts

// A document cut into slices: what stays whole on a page, from a line of words to a picture. Inner header of
// pages.h.
#pragma once

#include <vector>

#include "viewer/paper/document.h"
#include "viewer/paper/ruler.h"

namespace lostvolts {

struct PageSlice {
    double before = 0; ///< room above it, points; none at the top of a page
    double height = 0;
    bool with_next = false;      ///< stands on the page of the next slice
    std::vector<Shape> shapes{}; ///< from its own top, and from the left margin
    int table = -1;              ///< a row of that table, whose head is repeated above it on a new page
};

struct SlicedDocument {
    std::vector<PageSlice> slices;
    std::vector<std::vector<PageSlice>> table_heads;
};

/// As wide as `width`; a picture is made smaller where it is wider, or higher than `most_height`.
SlicedDocument sliced(const Document& document, const Ruler& ruler, double width, double most_height);

/// The rows of a table, its head before them.
void slice_table(const DocumentTable& table, const Ruler& ruler, double width, SlicedDocument& into);

} // namespace lostvolts

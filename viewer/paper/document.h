// What a report says, in order: headings, paragraphs, tables, pictures. Of one document html.h makes a page
// for a browser and pages.h pages for a printer, so both say the same.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "viewer/figures/figure.h"

namespace lostvolts {

/// The heading of a section.
struct SectionHeading {
    std::string text;
};

enum class ProseStyle {
    plain,
    aside,   ///< smaller: explains what stands beside it
    written, ///< a person's own words; their lines stay as they are
    verdict  ///< in a box
};
struct Prose {
    std::string text;
    ProseStyle style = ProseStyle::plain;
};

struct Bullets {
    std::vector<std::string> items;
};

struct DocumentTable {
    std::vector<std::string> headings;
    std::vector<bool> numbers; ///< per column: to the right
    std::vector<std::vector<std::string>> rows;
    std::vector<int> marked; ///< rows that stand out; never the only sign

    bool is_number(std::size_t column) const { return column < numbers.size() && numbers[column]; }
    bool is_marked(std::size_t row) const;
};

/// At the end, in small type: by what and of what the document was made.
struct Imprint {
    std::string text;
    std::vector<std::pair<std::string, std::string>> codes; ///< a name and its code
};

using DocumentBlock = std::variant<SectionHeading, Prose, Bullets, DocumentTable, Figure, Imprint>;

struct Document {
    std::string title;
    std::vector<DocumentBlock> blocks;
};

/// Text that can be shown: what is not UTF-8, control characters and marks that turn the direction of writing
/// as U+FFFD. Line ends and tabs stay.
std::string presentable(std::string_view text);

/// What stands in the place of a picture that can't be drawn.
Prose in_place_of(const Figure& figure, std::string_view why);

} // namespace lostvolts

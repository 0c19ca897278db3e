// A document laid out on pages: a heading stays with what it heads, a table goes on under its own head, and a
// picture stays whole. Each page is a Figure, so its words can be tested and Cairo paints it like any other.
#pragma once

#include <string>
#include <vector>

#include "solver/units/result.h"
#include "viewer/paper/document.h"

namespace lostvolts {

/// In points; A4 (ISO 216) with margins that leave the words on letter paper too.
struct PageForm {
    double width = 595.28, height = 841.89;
    double side = 42, top = 42, bottom = 54;
};

/// At least one, with title and number at its foot.
std::vector<Figure> pages_of(const Document& document, const PageForm& form = {});

/// The bytes of a PDF. Errors: those of painted().
Result<std::string> document_pdf(const Document& document);

} // namespace lostvolts

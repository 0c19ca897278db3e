// A page of HTML that needs nothing from elsewhere: no script, no font, no picture but those inside it. It
// opens without a network and prints on A4 or letter. Everything that goes through these functions is
// escaped; only html_page() and html_section() take HTML.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "solver/units/result.h"
#include "viewer/paper/document.h"

namespace lostvolts {

/// Presentable text as HTML shows it: < > & " ' as entities.
std::string html_escaped(std::string_view text);

std::string html_paragraph(std::string_view text, std::string_view style_class = {});
std::string html_heading(std::string_view text); ///< of a section
std::string html_list(const std::vector<std::string>& items);

std::string html_table(const DocumentTable& table);

/// A picture inside the page, as SVG, with what it says for those who can't see it. Errors: those of
/// painted().
Result<std::string> html_picture(const Figure& figure);

/// The whole document. What can't be drawn is left out, and said so in its place.
std::string html_document(const Document& document);

/// A page round a body of HTML.
std::string html_page(std::string_view title, std::string_view body);

} // namespace lostvolts

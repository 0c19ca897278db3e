#include "viewer/paper/html.h"

#include <algorithm>

#include <fmt/format.h>

#include "viewer/paper/paper.h"

namespace lostvolts {
namespace {

// Content-Security-Policy: even if an entity were missed, nothing on the page may run or call out.
constexpr std::string_view head = R"(<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<style>
:root { color-scheme: light; }
body { font: 11pt/1.45 "DejaVu Sans", "Liberation Sans", Arial, sans-serif; color: #111; background: #fff;
       max-width: 48rem; margin: 1.5rem auto; padding: 0 1rem; overflow-wrap: anywhere; }
h1 { font-size: 1.5rem; margin: 0 0 .2rem; }
h2 { font-size: 1.1rem; margin: 1.6rem 0 .4rem; border-bottom: 1px solid #999; break-after: avoid; }
p { margin: .35rem 0; }
.written { white-space: pre-wrap; border-left: 3px solid #999; padding-left: .7rem; }
.verdict { font-size: 1.1rem; border: 2px solid #111; padding: .6rem .8rem; margin: .8rem 0; break-inside: avoid; }
.aside, figcaption, footer { color: #444; font-size: .85rem; }
table { border-collapse: collapse; width: 100%; margin: .5rem 0; font-size: .92rem; }
th, td { text-align: left; vertical-align: top; padding: .2rem .5rem; border-bottom: 1px solid #ccc; }
th, td { overflow-wrap: normal; }
td.long { overflow-wrap: anywhere; }
th { border-bottom: 1px solid #111; }
td.number, th.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
tr.marked td { font-weight: bold; }
tr, figure, li { break-inside: avoid; }
thead { display: table-header-group; }
figure { margin: .8rem 0; }
figure img { width: 100%; height: auto; }
footer { margin-top: 2rem; border-top: 1px solid #999; padding-top: .5rem; }
code { font-family: "DejaVu Sans Mono", "Liberation Mono", monospace; font-size: .85em; }
@page { margin: 16mm 14mm; }
@media print { body { font-size: 10pt; max-width: none; margin: 0; padding: 0; } }
</style>
)";

/// RFC 4648, section 4.
std::string base64(std::string_view bytes) {
    constexpr std::string_view digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string text;
    text.reserve(bytes.size() * 4 / 3 + 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        unsigned group = 0;
        for (std::size_t k = 0; k < 3; ++k)
            group = group << 8 | (i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0u);
        for (std::size_t k = 0; k < 4; ++k)
            text += i + k > bytes.size() ? '=' : digits[group >> (18 - 6 * k) & 63];
    }
    return text;
}

/// One that may be broken anywhere, lest it widen the table beyond the page. Others keep their letters
/// together.
bool has_long_word(std::string_view text) {
    constexpr std::size_t longest = 24;
    for (std::size_t from = 0; from < text.size();) {
        const std::size_t end = std::min(text.find_first_of(" \n\t", from), text.size());
        if (end - from > longest) return true;
        from = end + 1;
    }
    return false;
}

std::string_view class_of(ProseStyle style) {
    switch (style) {
    case ProseStyle::plain:
        return "";
    case ProseStyle::aside:
        return "aside";
    case ProseStyle::written:
        return "written";
    case ProseStyle::verdict:
        return "verdict";
    }
    return "";
}

struct Html {
    std::string operator()(const SectionHeading& h) const { return html_heading(h.text); }
    std::string operator()(const Prose& p) const { return html_paragraph(p.text, class_of(p.style)); }
    std::string operator()(const Bullets& b) const { return html_list(b.items); }
    std::string operator()(const DocumentTable& t) const { return html_table(t); }
    std::string operator()(const Figure& f) const {
        const auto html = html_picture(f);
        return html ? *html : (*this)(in_place_of(f, html.problems().front().what));
    }
    std::string operator()(const Imprint& i) const {
        std::string out = "<footer>\n" + html_paragraph(i.text);
        for (const auto& [name, code] : i.codes)
            out += fmt::format("<p>{} <code>{}</code></p>\n", html_escaped(name), html_escaped(code));
        return out + "</footer>\n";
    }
};

} // namespace

std::string html_escaped(std::string_view text) {
    std::string out;
    out.reserve(text.size() + text.size() / 8);
    for (const char c : presentable(text)) switch (c) {
        case '<':
            out += "&lt;";
            break;
        case '>':
            out += "&gt;";
            break;
        case '&':
            out += "&amp;";
            break;
        case '"':
            out += "&quot;";
            break;
        case '\'':
            out += "&#39;";
            break;
        default:
            out += c;
        }
    return out;
}

std::string html_paragraph(std::string_view text, std::string_view style_class) {
    return style_class.empty() ? fmt::format("<p>{}</p>\n", html_escaped(text))
                               : fmt::format("<p class=\"{}\">{}</p>\n", style_class, html_escaped(text));
}

std::string html_heading(std::string_view text) { return fmt::format("<h2>{}</h2>\n", html_escaped(text)); }

std::string html_list(const std::vector<std::string>& items) {
    std::string out = "<ul>\n";
    for (const std::string& item : items) out += fmt::format("<li>{}</li>\n", html_escaped(item));
    return out + "</ul>\n";
}

std::string html_table(const DocumentTable& table) {
    const auto style = [&](std::size_t c) { return table.is_number(c) ? " class=\"number\"" : ""; };
    std::string out = "<table>\n<thead><tr>";
    for (std::size_t c = 0; c < table.headings.size(); ++c)
        out += fmt::format("<th{} scope=\"col\">{}</th>", style(c), html_escaped(table.headings[c]));
    out += "</tr></thead>\n<tbody>\n";
    for (std::size_t r = 0; r < table.rows.size(); ++r) {
        out += table.is_marked(r) ? "<tr class=\"marked\">" : "<tr>";
        for (std::size_t c = 0; c < table.rows[r].size(); ++c)
            out +=
                fmt::format("<td{}>{}</td>", has_long_word(table.rows[r][c]) ? " class=\"long\"" : style(c),
                            html_escaped(table.rows[r][c]));
        out += "</tr>\n";
    }
    return out + "</tbody>\n</table>\n";
}

Result<std::string> html_picture(const Figure& figure) {
    const auto svg = painted(figure, PaperKind::svg);
    if (!svg) return svg.problems();
    // As a picture of its own: its ids meet no other's, and nothing in it may run.
    return fmt::format("<figure><img src=\"data:image/svg+xml;base64,{}\" alt=\"{}\">"
                       "<figcaption>{}</figcaption></figure>\n",
                       base64(*svg), html_escaped(figure.says.empty() ? figure.title : figure.says),
                       html_escaped(figure.title));
}

std::string html_document(const Document& document) {
    std::string body = fmt::format("<h1>{}</h1>\n", html_escaped(document.title));
    for (const DocumentBlock& block : document.blocks) body += std::visit(Html{}, block);
    return html_page(document.title, body);
}

std::string html_page(std::string_view title, std::string_view body) {
    return fmt::format("{}<title>{}</title>\n</head>\n<body>\n{}</body>\n</html>\n", head,
                       html_escaped(title), body);
}

} // namespace lostvolts

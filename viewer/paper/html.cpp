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

constexpr std::string_view replacement = "\xEF\xBF\xBD";

/// Bytes of the UTF-8 sequence that begins a text; 0 when none does (Unicode 15, table 3-7).
std::size_t sequence(std::string_view s) {
    const auto byte = [&](std::size_t k) { return k < s.size() ? static_cast<unsigned char>(s[k]) : 0u; };
    const auto follows = [&](std::size_t k, unsigned low = 0x80, unsigned high = 0xBF) {
        return byte(k) >= low && byte(k) <= high;
    };
    const unsigned first = byte(0);
    if (first < 0x80) return 1;
    if (first >= 0xC2 && first <= 0xDF) return follows(1) ? 2 : 0;
    if (first >= 0xE0 && first <= 0xEF)
        return follows(1, first == 0xE0 ? 0xA0 : 0x80, first == 0xED ? 0x9F : 0xBF) && follows(2) ? 3 : 0;
    if (first >= 0xF0 && first <= 0xF4)
        return follows(1, first == 0xF0 ? 0x90 : 0x80, first == 0xF4 ? 0x8F : 0xBF) && follows(2) &&
                       follows(3)
                   ? 4
                   : 0;
    return 0;
}

/// Controls (but line end and tab) and the marks U+200E–F, U+202A–E, U+2066–9.
bool has_no_place(std::string_view point) {
    const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(point[k]); };
    if (point.size() == 1) return (byte(0) < 0x20 && point != "\n" && point != "\t") || byte(0) == 0x7F;
    if (point.size() == 2) return byte(0) == 0xC2 && byte(1) < 0xA0;
    if (point.size() != 3 || byte(0) != 0xE2) return false;
    return (byte(1) == 0x80 &&
            ((byte(2) >= 0x8E && byte(2) <= 0x8F) || (byte(2) >= 0xAA && byte(2) <= 0xAE))) ||
           (byte(1) == 0x81 && byte(2) >= 0xA6 && byte(2) <= 0xA9);
}

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

} // namespace

std::string html_escaped(std::string_view text) {
    std::string out;
    out.reserve(text.size() + text.size() / 8);
    while (!text.empty()) {
        const std::size_t length = sequence(text);
        const std::string_view point = text.substr(0, std::max<std::size_t>(length, 1));
        text.remove_prefix(point.size());
        if (length == 0 || has_no_place(point))
            out += replacement;
        else if (point == "<")
            out += "&lt;";
        else if (point == ">")
            out += "&gt;";
        else if (point == "&")
            out += "&amp;";
        else if (point == "\"")
            out += "&quot;";
        else if (point == "'")
            out += "&#39;";
        else
            out += point;
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

std::string html_table(const HtmlTable& table) {
    const auto style = [&](std::size_t c) {
        return c < table.numbers.size() && table.numbers[c] ? " class=\"number\"" : "";
    };
    std::string out = "<table>\n<thead><tr>";
    for (std::size_t c = 0; c < table.headings.size(); ++c)
        out += fmt::format("<th{} scope=\"col\">{}</th>", style(c), html_escaped(table.headings[c]));
    out += "</tr></thead>\n<tbody>\n";
    for (std::size_t r = 0; r < table.rows.size(); ++r) {
        const bool marked =
            std::find(table.marked.begin(), table.marked.end(), static_cast<int>(r)) != table.marked.end();
        out += marked ? "<tr class=\"marked\">" : "<tr>";
        for (std::size_t c = 0; c < table.rows[r].size(); ++c)
            out += fmt::format("<td{}>{}</td>", style(c), html_escaped(table.rows[r][c]));
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

std::string html_page(std::string_view title, std::string_view body) {
    return fmt::format("{}<title>{}</title>\n</head>\n<body>\n{}</body>\n</html>\n", head,
                       html_escaped(title), body);
}

} // namespace lostvolts

#include "viewer/paper/html.h"

#include <doctest/doctest.h>

using namespace lostvolts;

TEST_CASE("text a person wrote can't become HTML") {
    // Expected, by hand: the five characters of HTML that begin or end something, as entities.
    CHECK(html_escaped("<script>alert('x')</script>") == "&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;");
    CHECK(html_escaped("\" onmouseover=\"x") == "&quot; onmouseover=&quot;x");
    CHECK(html_escaped("&lt;") == "&amp;lt;");
    CHECK(html_escaped("180 mΩ é ✓\n\t") == "180 mΩ é ✓\n\t");
}

TEST_CASE("bytes that are no text and marks that turn the line are shown as such") {
    // Expected: U+FFFD for each, by hand.
    CHECK(html_escaped("a\xFF\x80z") == "a\uFFFD\uFFFDz");
    CHECK(html_escaped(std::string_view("a\0\x1b[31m", 7)) == "a\uFFFD\uFFFD[31m");
    CHECK(html_escaped("a\u202Eb\u0085c") == "a\uFFFDb\uFFFDc");
    CHECK(html_escaped("\xC0\xBCscript") == "\uFFFD\uFFFDscript"); // an overlong "<"
}

TEST_CASE("a table escapes its cells and marks its rows") {
    // Expected, by hand.
    const DocumentTable table{{"a<", "b"}, {false, true}, {{"<i>", "1"}, {"x", "2"}}, {1}};
    CHECK(html_table(table) ==
          "<table>\n<thead><tr><th scope=\"col\">a&lt;</th><th class=\"number\" scope=\"col\">b</th>"
          "</tr></thead>\n<tbody>\n<tr><td>&lt;i&gt;</td><td class=\"number\">1</td></tr>\n"
          "<tr class=\"marked\"><td>x</td><td class=\"number\">2</td></tr>\n</tbody>\n</table>\n");
}

TEST_CASE("only a word too long for a column may be broken within a table") {
    // Expected, by hand.
    const std::string endless(60, 'x');
    const std::string html = html_table({{"a"}, {false}, {{"fits"}, {"a " + endless}}, {}});
    CHECK(html.find("<td>fits</td>") != std::string::npos);
    CHECK(html.find("<td class=\"long\">a " + endless) != std::string::npos);
}

TEST_CASE("a picture is inside the page and says what it shows") {
    // Expected: RFC 4648, section 10, for the encoding of "<?xm" as base64 (PD94bQ== without its padding).
    Figure figure;
    figure.width = figure.height = 40;
    figure.title = "A <picture>";
    figure.says = "nothing \"much\"";
    const auto html = html_picture(figure);
    REQUIRE(html);
    CHECK(html->starts_with("<figure><img src=\"data:image/svg+xml;base64,PD94b"));
    CHECK(html->find("alt=\"nothing &quot;much&quot;\"") != std::string::npos);
    CHECK(html->find("<figcaption>A &lt;picture&gt;</figcaption>") != std::string::npos);
}

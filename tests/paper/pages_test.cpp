// A document on pages: everything is there once and in order, on the paper, and nothing is torn from what it
// belongs to.
#include "viewer/paper/pages.h"

#include <algorithm>
#include <map>
#include <random>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "viewer/figures/shapes.h"

using namespace lostvolts;

namespace {

std::vector<Words> words_on(const Figure& page) {
    std::vector<Words> all;
    for (const Shape& shape : page.shapes)
        if (const auto* w = std::get_if<Words>(&shape)) all.push_back(*w);
    return all;
}
bool is_foot(const Words& w, const Figure& page) { return w.at.y > page.height - 40; }
bool is_heading(const Words& w) { return w.bold && w.size == 12; }

/// All words but the feet's, a space between.
std::string text_of(const std::vector<Figure>& pages) {
    std::string text;
    for (const Figure& page : pages)
        for (const Words& w : words_on(page))
            if (!is_foot(w, page)) text += (text.empty() ? "" : " ") + w.text;
    return text;
}
bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

std::string prose(std::mt19937& random, int count) {
    std::string text;
    for (int k = 0; k < count; ++k)
        text += (k ? " " : "") + std::string(1 + random() % 12, static_cast<char>('a' + random() % 26));
    return text;
}

Figure picture(double width, double height) {
    Figure f;
    f.width = width;
    f.height = height;
    f.title = "a picture";
    f.shapes.push_back(Fill{rectangle({0, 0}, {width, height}), Ink::suspect, 1});
    return f;
}

Document random_document(std::mt19937& random) {
    Document d{prose(random, 4), {}};
    const int blocks = 5 + static_cast<int>(random() % 40);
    for (int k = 0; k < blocks; ++k) {
        if (random() % 3 == 0) d.blocks.push_back(SectionHeading{prose(random, 3)});
        switch (random() % 5) {
        case 0:
            d.blocks.push_back(Prose{prose(random, static_cast<int>(random() % 200)),
                                     static_cast<ProseStyle>(random() % 4)});
            break;
        case 1:
            d.blocks.push_back(Bullets{{prose(random, 30), prose(random, 5)}});
            break;
        case 2: {
            DocumentTable t{{"one", "two", "three"}, {true, false, true}, {}, {0}};
            for (unsigned r = random() % 60; r > 0; --r)
                t.rows.push_back(
                    {prose(random, 1), prose(random, 1 + static_cast<int>(random() % 20)), prose(random, 1)});
            d.blocks.push_back(std::move(t));
            break;
        }
        case 3:
            d.blocks.push_back(picture(200 + random() % 2000, 100 + random() % 2000));
            break;
        default:
            d.blocks.push_back(Imprint{prose(random, 20), {{"x", "y"}}});
        }
    }
    return d;
}

} // namespace

TEST_CASE("no heading ends a page, and nothing lies off the paper or on other words") {
    // Expected, by definition, of 60 documents drawn at random.
    const unsigned seed = 20261126;
    MESSAGE("seed ", seed);
    std::mt19937 random(seed);
    std::size_t pages_seen = 0;
    for (int repeat = 0; repeat < 60; ++repeat) {
        Document d = random_document(random);
        d.blocks.push_back(Prose{"the end", ProseStyle::plain}); // so that the last heading heads something
        const std::vector<Figure> pages = pages_of(d);
        pages_seen += pages.size();
        CAPTURE(repeat);
        for (const Figure& page : pages) {
            std::vector<Words> all = words_on(page);
            const Words* lowest = nullptr;
            for (const Words& w : all) {
                const Box box = box_of(w);
                CHECK(box.low.x > 41.0);
                CHECK(box.high.x < page.width - 41.0);
                CHECK(box.high.y < page.height - 20);
                if (!is_foot(w, page) && (!lowest || w.at.y > lowest->at.y)) lowest = &w;
            }
            double fills_end = 0;
            for (const Shape& shape : page.shapes)
                if (const auto* f = std::get_if<Fill>(&shape))
                    for (const Position p : f->outline) fills_end = std::max(fills_end, p.y);
            CHECK(fills_end < page.height - 50);
            if (lowest && is_heading(*lowest)) CHECK_MESSAGE(fills_end > lowest->at.y, lowest->text);
            for (std::size_t a = 0; a < all.size(); ++a)
                for (std::size_t b = a + 1; b < all.size(); ++b)
                    CHECK_MESSAGE(!overlap(box_of(all[a]), box_of(all[b])), all[a].text, " / ", all[b].text);
        }
    }
    CHECK(pages_seen > 200);
}

TEST_CASE("every word is on the pages, in its order") {
    // Expected, by hand: numbered words, longer than a page.
    Document d{"Title", {}};
    std::string text, expected = "Title";
    for (int k = 0; k < 3000; ++k) text += fmt::format("{}w{}", k ? " " : "", k);
    d.blocks.push_back(SectionHeading{"Heading"});
    d.blocks.push_back(Prose{text, ProseStyle::written});
    d.blocks.push_back(Prose{"verdict " + text, ProseStyle::verdict}); // a box of several pages
    const auto pages = pages_of(d);
    CHECK(pages.size() > 4);
    CHECK(text_of(pages) == "Title Heading " + text + " verdict " + text);
}

TEST_CASE("a person's lines and spaces stay; a word wider than the page is broken") {
    // Expected, by hand.
    Document d{"t", {Prose{"first\n  indented\n\nlast", ProseStyle::written}}};
    CHECK(text_of(pages_of(d)) == "t first   indented last");
    const std::string endless(500, 'W');
    Document e{"t", {Prose{endless, ProseStyle::plain}, DocumentTable{{"a", "b"}, {}, {{endless, "x"}}, {}}}};
    std::string letters;
    for (const char c : text_of(pages_of(e))) letters += c == 'W' ? "W" : "";
    CHECK(letters.size() == 1000);
}

TEST_CASE("a table that goes on has its head again, and no row of it alone") {
    // Expected, by hand: 150 rows.
    DocumentTable t{{"number", "what"}, {true, false}, {}, {}};
    for (int k = 0; k < 150; ++k) t.rows.push_back({std::to_string(k), fmt::format("row {}", k)});
    const auto pages = pages_of({"Rows", {SectionHeading{"Many"}, t}});
    REQUIRE(pages.size() >= 3);
    for (const Figure& page : pages) {
        int heads = 0, rows = 0;
        for (const Words& w : words_on(page)) {
            heads += w.bold && w.text == "number";
            rows += w.text.starts_with("row ");
        }
        CHECK(heads == 1);
        CHECK(rows >= 2);
    }
}

TEST_CASE("a row of many lines stays whole, one longer than a page is cut") {
    // Expected, by hand: each row of twelve lines begins and ends on one page.
    std::string twelve;
    for (int k = 0; k < 12; ++k) twelve += std::string(40, 'm') + " ";
    DocumentTable t{{"", "what"}, {true, false}, {}, {}};
    for (int k = 0; k < 20; ++k)
        t.rows.push_back({std::to_string(k), fmt::format("begin{} {}end{}", k, twelve, k)});
    std::map<std::string, std::size_t> page_with;
    const auto pages = pages_of({"t", {t}});
    for (std::size_t p = 0; p < pages.size(); ++p)
        for (const Words& w : words_on(pages[p]))
            for (int k = 0; k < 20; ++k)
                for (const char* mark : {"begin", "end"})
                    if (has(w.text + " ", fmt::format("{}{} ", mark, k)))
                        page_with[fmt::format("{}{}", mark, k)] = p;
    for (int k = 0; k < 20; ++k)
        CHECK(page_with.at(fmt::format("begin{}", k)) == page_with.at(fmt::format("end{}", k)));
    std::string book;
    for (int k = 0; k < 4000; ++k) book += fmt::format("w{} ", k);
    const auto cut = pages_of({"t", {DocumentTable{{"", "what"}, {}, {{"1", book}}, {}}}});
    CHECK(cut.size() > 2);
    CHECK(has(text_of(cut), "w3999"));
}

TEST_CASE("each page has its number and the document's title") {
    // Expected, by hand.
    Document d{"Orchard sprayer", {}};
    for (int k = 0; k < 30; ++k) d.blocks.push_back(picture(900, 500));
    const auto pages = pages_of(d);
    REQUIRE(pages.size() > 5);
    for (std::size_t k = 0; k < pages.size(); ++k) {
        const auto all = words_on(pages[k]);
        CHECK(all[all.size() - 2].text == "Orchard sprayer");
        CHECK(all.back().text == fmt::format("page {} of {}", k + 1, pages.size()));
    }
    CHECK(pages_of({"", {}}).size() == 1);
}

TEST_CASE("what can't be shown on paper is told, or stands as a sign for it") {
    // Expected, by hand: a picture without a size; bytes that are no text; a mark that turns the line.
    Document d{"t", {picture(0, 0), Prose{"a\xFF z\u202Eb", ProseStyle::plain}}};
    const std::string text = text_of(pages_of(d));
    CHECK(has(text, "a picture could not be drawn: it has no size."));
    CHECK(has(text, "a\uFFFD z\uFFFDb"));
    const auto pdf = document_pdf(d);
    REQUIRE(pdf);
    CHECK(pdf->starts_with("%PDF-1."));
}

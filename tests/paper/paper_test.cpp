#include "viewer/paper/paper.h"

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <limits>

#include <cairo.h>
#include <doctest/doctest.h>

#include "tests/command/outside.h"
#include "viewer/figures/shapes.h"

using namespace lostvolts;
using command_tests::output_of;
namespace fs = std::filesystem;

namespace {

/// A folder of its own, gone when the test ends.
struct Folder {
    fs::path path;
    Folder() {
        std::string name = (fs::temp_directory_path() / "lostvolts_paper_XXXXXX").string();
        path = mkdtemp(name.data());
    }
    ~Folder() { fs::remove_all(path); }
};

std::string content(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

Figure sample() {
    Figure f;
    f.width = 200;
    f.height = 100;
    f.title = "pump <1> & \"friends\"";
    f.says = "a line & a word";
    f.shapes = {Stroke{{{10, 50}, {190, 50}}, Ink::wire, 4},
                Fill{rectangle({20, 20}, {40, 40}), Ink::suspect, 1},
                Mark{{100, 50}, MarkShape::dot, 20, Ink::measured}, words({60, 30}, "250 mΩ, 85 °C", 12)};
    return f;
}

/// Pixels of a PNG in memory.
struct Pixels {
    cairo_surface_t* surface;
    explicit Pixels(const std::string& png) {
        struct Source {
            const std::string& bytes;
            std::size_t at = 0;
        } source{png};
        surface = cairo_image_surface_create_from_png_stream(
            [](void* from, unsigned char* to, unsigned count) {
                auto& s = *static_cast<Source*>(from);
                if (s.at + count > s.bytes.size()) return CAIRO_STATUS_READ_ERROR;
                std::copy_n(s.bytes.begin() + static_cast<long>(s.at), count, reinterpret_cast<char*>(to));
                s.at += count;
                return CAIRO_STATUS_SUCCESS;
            },
            &source);
    }
    ~Pixels() { cairo_surface_destroy(surface); }
    int width() const { return cairo_image_surface_get_width(surface); }
    int height() const { return cairo_image_surface_get_height(surface); }
    unsigned at(int x, int y) const {
        const auto* row = cairo_image_surface_get_data(surface) +
                          std::ptrdiff_t{y} * cairo_image_surface_get_stride(surface);
        return reinterpret_cast<const std::uint32_t*>(row)[x] & 0xffffff;
    }
};

unsigned hex(Colour c) {
    const auto byte = [](double v) { return static_cast<unsigned>(std::lround(v * 255)); };
    return byte(c.red) << 16 | byte(c.green) << 8 | byte(c.blue);
}

} // namespace

TEST_CASE("a PNG has the figure's size times dots per inch and its inks where they were put") {
    // Expected, by hand: 200 by 100 points at 144 dots per inch are 400 by 200 pixels.
    for (const Light light : {Light::light, Light::dark}) {
        const auto png = painted(sample(), PaperKind::png, {.light = light});
        REQUIRE(png);
        const Pixels pixels(*png);
        CHECK(pixels.width() == 400);
        CHECK(pixels.height() == 200);
        CHECK(pixels.at(60, 60) == hex(colour_of(Ink::suspect, light)));
        CHECK(pixels.at(200, 100) == hex(colour_of(Ink::measured, light)));
        CHECK(pixels.at(120, 100) == hex(colour_of(Ink::wire, light)));
        CHECK(pixels.at(2, 2) == hex(colour_of(Ink::paper, light)));
    }
    const auto large = painted(sample(), PaperKind::png, {.scale = 2, .dpi = 72});
    REQUIRE(large);
    CHECK(Pixels(*large).width() == 400);
}

TEST_CASE("the same figure gives the same bytes") {
    // Expected: nothing of the moment is in a PNG or an SVG.
    CHECK(*painted(sample(), PaperKind::png) == *painted(sample(), PaperKind::png));
    CHECK(*painted(sample(), PaperKind::svg) == *painted(sample(), PaperKind::svg));
}

TEST_CASE("an SVG is well formed and says what it shows") {
    // Expected: read by an XML parser (Python's expat); names that a person wrote are escaped.
    const Folder folder;
    REQUIRE(save_picture(sample(), folder.path / "a.svg"));
    const std::string told =
        output_of("python3 -c \"import xml.dom.minidom as m; d=m.parse('" + (folder.path / "a.svg").string() +
                  "'); print(d.documentElement.tagName); "
                  "print(d.getElementsByTagName('title')[0].firstChild.data); "
                  "print(d.getElementsByTagName('desc')[0].firstChild.data)\"");
    CHECK(told == "svg\npump <1> & \"friends\"\na line & a word\n");
}

TEST_CASE("a PDF has one page a figure of its own size") {
    // Expected: what pdfinfo of poppler reads.
    const Folder folder;
    REQUIRE(save_picture(sample(), folder.path / "a.pdf"));
    const std::string told = output_of("pdfinfo " + (folder.path / "a.pdf").string());
    CHECK(told.find("Pages:           1\n") != std::string::npos);
    CHECK(told.find("200 x 100 pts") != std::string::npos);
    const std::vector<Figure> pages{sample(), sample(), sample()};
    std::ofstream(folder.path / "b.pdf", std::ios::binary) << *painted(pages, PaperKind::pdf);
    CHECK(output_of("pdfinfo " + (folder.path / "b.pdf").string()).find("Pages:           3\n") !=
          std::string::npos);
}

TEST_CASE("widths of words are those that Cairo sets") {
    // Expected: Cairo's own advance of the same font, within 1 %.
    cairo_surface_t* surface = cairo_image_surface_create(CAIRO_FORMAT_A8, 10, 10);
    cairo_t* c = cairo_create(surface);
    cairo_font_options_t* options = cairo_font_options_create();
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_set_font_options(c, options);
    for (const bool bold : {false, true})
        for (const char* text : {"tank connector, ground pin", "12.53 V · 7.68 A", "250 mΩ at 85 °C, 4 mm²",
                                 "Größe µ → 3 ≥ 2 … – —", "WWWiii", "Насос"}) {
            cairo_select_font_face(c, "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL,
                                   bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
            cairo_set_font_size(c, 10);
            cairo_text_extents_t extents;
            cairo_text_extents(c, text, &extents);
            CAPTURE(text);
            const double tolerance = std::string(text) == "Насос" ? 0.1 : 0.01; // by the script's mean
            CHECK(text_width(text, 10, bold) == doctest::Approx(extents.x_advance).epsilon(tolerance));
        }
    cairo_font_options_destroy(options);
    cairo_destroy(c);
    cairo_surface_destroy(surface);
}

TEST_CASE("what can't be drawn is left out and the rest is painted") {
    // Expected: text that is not UTF-8 and places that are no numbers must not stop what follows.
    Figure f = sample();
    f.shapes.insert(f.shapes.begin(), words({10, 10}, "bad \xff\xfe bytes\x01", 10));
    f.shapes.insert(f.shapes.begin(),
                    Stroke{{{0, 0}, {std::numeric_limits<double>::quiet_NaN(), 5}}, Ink::bad, 3});
    f.shapes.insert(f.shapes.begin(), Stroke{{}, Ink::bad, 3});
    f.shapes.insert(f.shapes.begin(), Fill{{{1, 1}}, Ink::bad, 1});
    f.title = "bad \xff title";
    for (const PaperKind kind : {PaperKind::png, PaperKind::svg, PaperKind::pdf}) CHECK(painted(f, kind));
    CHECK(Pixels(*painted(f, PaperKind::png)).at(60, 60) == hex(colour_of(Ink::suspect, Light::light)));
}

TEST_CASE("a picture's name must end as one and a failed save leaves the old file") {
    // Expected: the messages, word for word.
    const Folder folder;
    const auto wrong = save_picture(sample(), folder.path / "a.jpg");
    REQUIRE(!wrong);
    CHECK(wrong.problems()[0].what == "is not the name of a picture");
    CHECK(wrong.problems()[0].write == "end it in .png, .svg or .pdf");
    CHECK(paper_kind("A.PNG") == PaperKind::png);

    std::ofstream(folder.path / "a.png") << "old";
    const auto huge = save_picture(sample(), folder.path / "a.png", {.scale = 1000});
    REQUIRE(!huge);
    CHECK(huge.problems()[0].what == "a picture of 400000 by 200000 can't be drawn");
    CHECK(content(folder.path / "a.png") == "old");
    CHECK(!save_picture(sample(), folder.path / "nowhere" / "a.png"));
    REQUIRE(save_picture(sample(), folder.path / "a.png"));
    CHECK(content(folder.path / "a.png").starts_with("\x89PNG"));
    CHECK(std::distance(fs::directory_iterator(folder.path), {}) == 1);
}

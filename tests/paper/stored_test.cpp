// Pictures against stored ones, each looked at by a person before it was stored. LOSTVOLTS_RENEW_PICTURES=1
// writes them anew; look at them, then commit them with the reason.
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <memory>

#include <cairo.h>
#include <doctest/doctest.h>

#include "solver/circuit/read.h"
#include "tests/paper/compare.h"
#include "viewer/figures/shapes.h"
#include "viewer/figures/suspects.h"
#include "viewer/paper/paper.h"

using namespace lostvolts;
using namespace lostvolts::paper_tests;
namespace fs = std::filesystem;

namespace {

const fs::path stored_folder = LOSTVOLTS_SOURCE "/tests/paper/expected";
const std::string sprayer = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml";

PixelRows pixels_of(const fs::path& png) {
    const std::unique_ptr<cairo_surface_t, void (*)(cairo_surface_t*)> surface(
        cairo_image_surface_create_from_png(png.c_str()), cairo_surface_destroy);
    PixelRows rows;
    if (cairo_surface_status(surface.get()) != CAIRO_STATUS_SUCCESS) return rows;
    cairo_surface_flush(surface.get());
    rows.width = cairo_image_surface_get_width(surface.get());
    rows.height = cairo_image_surface_get_height(surface.get());
    const unsigned char* data = cairo_image_surface_get_data(surface.get());
    for (int y = 0; y < rows.height; ++y) {
        const auto* row = reinterpret_cast<const std::uint32_t*>(
            data + static_cast<std::ptrdiff_t>(y) * cairo_image_surface_get_stride(surface.get()));
        for (int x = 0; x < rows.width; ++x)
            for (const int shift : {16, 8, 0}) rows.rgb.push_back(static_cast<std::uint8_t>(row[x] >> shift));
    }
    return rows;
}

struct Folder {
    fs::path path;
    Folder() {
        std::string name = (fs::temp_directory_path() / "lostvolts_stored_XXXXXX").string();
        path = mkdtemp(name.data());
    }
    ~Folder() { fs::remove_all(path); }
};

/// Holds a picture against the stored one, or stores it. One that differs is left in the temporary folder to
/// be looked at.
void hold(const fs::path& made, const fs::path& stored) {
    const std::string name = stored.stem().string();
    CAPTURE(name);
    if (renewing()) {
        fs::create_directories(stored.parent_path());
        fs::copy_file(made, stored, fs::copy_options::overwrite_existing);
    }
    REQUIRE(fs::exists(stored));
    INFO("a large one is kept by: convert IN.png +dither -colors 256 -white-threshold 99% png8:OUT.png");
    CHECK(fs::file_size(stored) < 80'000);
    const Apart apart = compare(pixels_of(made), pixels_of(stored));
    CAPTURE(apart.mean);
    CAPTURE(apart.share);
    if (!alike(apart)) {
        const fs::path kept = fs::temp_directory_path() / ("lostvolts differs " + name + ".png");
        fs::copy_file(made, kept, fs::copy_options::overwrite_existing);
        MESSAGE("look at " << kept.string());
    }
    CHECK(alike(apart));
}

void hold_picture_of(const std::string& words, const fs::path& stored) {
    const Folder folder;
    const fs::path picture = folder.path / stored.filename();
    const std::string command = "cd '" + folder.path.string() + "' && " + LOSTVOLTS_PROGRAM + " " + words +
                                " --picture '" + picture.string() + "' > /dev/null";
    CAPTURE(command);
    REQUIRE(std::system(command.c_str()) == 0);
    hold(picture, stored);
}

void hold_small_picture_of(const std::string& words, const std::string& name) {
    hold_picture_of(words + " --scale 0.42", stored_folder / (name + ".png"));
}

/// Suspects as locate might have found them, so that its arithmetic does not enter here.
Figure made_up_suspects() {
    const Circuit c = *read_circuit_text(
        std::string(std::istreambuf_iterator<char>(std::ifstream(sprayer).rdbuf()), {}), "circuit.toml");
    const auto fault = [&](const char* part, FaultKind kind, double value, double low, double high) {
        return FoundFault{find_part(c, part), kind, value, low, high};
    };
    Location l;
    l.verdict = Verdict::narrowed;
    const auto add = [&](double probability, std::vector<FoundFault> faults) {
        Suspect s;
        s.probability = probability;
        s.faults = std::move(faults);
        l.suspects.push_back(std::move(s));
    };
    add(0.52, {fault("pump ground", FaultKind::high_resistance, 0.18, 0.16, 0.21)});
    add(0.31, {fault("tank connector, ground pin", FaultKind::high_resistance, 0.17, 0.15, 0.2)});
    add(0.12, {fault("rinse pump", FaultKind::worn_brushes, 0.2, 0.1, 0.4)});
    add(0.05, {});
    l.group = {0, 1};
    return suspects_figure(c, l, 640);
}

void save_small(const Figure& figure, const fs::path& to) {
    REQUIRE(save_picture(figure, to, {.scale = 0.5}));
}

} // namespace

TEST_CASE("the figures are those that a person has looked at") {
    // Expected: the stored pictures; tolerance: alike() in compare.h. None of them asks locate for anything.
    hold_small_picture_of("view " + sprayer + " --condition 'corroded feed pin'", "loop");
    hold_small_picture_of("view " + sprayer + " --condition 'corroded pump ground' --what staircase",
                          "staircase");
    hold_small_picture_of("compare " + sprayer + " --sweep 'pump ground: 0 to 500 mohm'", "sweep");
    hold_small_picture_of("size " + sprayer, "harness");
    hold_small_picture_of(
        "inrush " + sprayer + " --state run --condition 'corroded pump ground' --csv start.csv", "traces");
    const Folder folder;
    save_small(made_up_suspects(), folder.path / "suspects.png");
    hold(folder.path / "suspects.png", stored_folder / "suspects.png");
}

TEST_CASE("the README's pictures are what its commands draw") {
    // Expected: the pictures that it shows, each looked at; tolerance: alike() in compare.h.
    const fs::path scenario = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer";
    const std::string view = "view " + scenario.string();
    hold_picture_of(view + "/before_dismantling.toml", scenario / "next_reading.png");
    hold_picture_of(view + "/readings.toml --what staircase", scenario / "staircase.png");
}

TEST_CASE("a picture with one ink changed or one word more is not alike") {
    // Expected: the comparison can fail. The suspect's bar in the ink of a limit; a word that was not there.
    const Folder folder;
    const Figure as_stored = made_up_suspects();
    save_small(as_stored, folder.path / "same.png");
    const PixelRows same = pixels_of(folder.path / "same.png");
    CHECK(alike(compare(same, same)));

    Figure other_ink = as_stored;
    for (Shape& shape : other_ink.shapes)
        if (auto* fill = std::get_if<Fill>(&shape); fill && fill->ink == Ink::suspect) {
            fill->ink = Ink::limit;
            break;
        }
    save_small(other_ink, folder.path / "ink.png");
    CHECK_FALSE(alike(compare(pixels_of(folder.path / "ink.png"), same)));

    Figure one_word = as_stored;
    one_word.shapes.push_back(words({400, 60}, "healthy", 10.5));
    save_small(one_word, folder.path / "word.png");
    CHECK_FALSE(alike(compare(pixels_of(folder.path / "word.png"), same)));

    Figure larger = as_stored;
    larger.height += 2;
    save_small(larger, folder.path / "larger.png");
    CHECK_FALSE(alike(compare(pixels_of(folder.path / "larger.png"), same)));
}

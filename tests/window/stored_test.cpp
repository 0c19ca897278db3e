// Screens of the window, at half their size, against stored ones, each looked at by a person before it was
// stored. LOSTVOLTS_RENEW_PICTURES=1 writes them anew. The README's is stored whole.
#include <filesystem>

#include <doctest/doctest.h>

#include "tests/paper/compare.h"
#include "tests/window/hand.h"
#include "tests/window/job.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;
using namespace lostvolts::paper_tests;
namespace fs = std::filesystem;

namespace {

const std::string sprayer = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml";

PixelRows pixels_of(const sf::Image& image) {
    PixelRows rows{static_cast<int>(image.getSize().x), static_cast<int>(image.getSize().y)};
    const sf::Uint8* rgba = image.getPixelsPtr();
    for (std::size_t k = 0; k < std::size_t{image.getSize().x} * image.getSize().y; ++k)
        rows.rgb.insert(rows.rgb.end(), {rgba[4 * k], rgba[4 * k + 1], rgba[4 * k + 2]});
    return rows;
}

/// Half as wide and high, each pixel the mean of four: small enough to be kept.
sf::Image halved(const sf::Image& whole) {
    sf::Image half;
    half.create(whole.getSize().x / 2, whole.getSize().y / 2);
    for (unsigned y = 0; y < half.getSize().y; ++y)
        for (unsigned x = 0; x < half.getSize().x; ++x) {
            unsigned sum[3] = {};
            for (const auto& [dx, dy] : {std::pair{0U, 0U}, {1U, 0U}, {0U, 1U}, {1U, 1U}}) {
                const sf::Color c = whole.getPixel(2 * x + dx, 2 * y + dy);
                sum[0] += c.r, sum[1] += c.g, sum[2] += c.b;
            }
            const auto mean = [&](int k) { return static_cast<sf::Uint8>((sum[k] + 2) / 4); };
            half.setPixel(x, y, {mean(0), mean(1), mean(2)});
        }
    return half;
}

const fs::path readme_lesson = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/lesson.png";

fs::path stored_as(const std::string& name) {
    return fs::path(LOSTVOLTS_SOURCE "/tests/window/expected") / (name + ".png");
}

Apart apart_from_stored(App& app, const fs::path& stored) {
    const bool whole = stored == readme_lesson;
    const sf::Image shot = app.shot(), now = whole ? shot : halved(shot);
    if (renewing()) {
        fs::create_directories(stored.parent_path());
        now.saveToFile(stored.string());
    }
    sf::Image then;
    if (!then.loadFromFile(stored.string())) return {};
    INFO("made smaller by: convert IN.png -alpha off -strip -define png:compression-filter=2 OUT.png");
    CHECK(fs::file_size(stored) < (whole ? 200'000 : 60'000));
    const Apart apart = compare(pixels_of(now), pixels_of(then));
    if (!alike(apart))
        now.saveToFile(
            (fs::temp_directory_path() / ("lostvolts window " + stored.filename().string())).string());
    return apart;
}

/// The Lesson with a condition of the file, on a bench tablet: no locate, no clock, no text cursor in it.
std::unique_ptr<App> lesson(bool dark, int width = 800, int height = 480) {
    WindowOptions options;
    options.file = sprayer;
    options.condition = "corroded pump ground";
    options.width = width;
    options.height = height;
    options.dark = dark;
    return opened(options);
}

} // namespace

TEST_CASE("the window's screens are those that a person has looked at") {
    // Expected: the stored screens; tolerance: alike() in tests/paper/compare.h.
    {
        const auto app = lesson(false);
        const Apart apart = apart_from_stored(*app, stored_as("lesson on a tablet"));
        CAPTURE(apart.mean);
        CAPTURE(apart.share);
        CHECK(alike(apart));
    }
    const auto app = lesson(true);
    Hand hand(*app);
    hand.key(sf::Keyboard::F4);
    app->settle();
    const Apart apart = apart_from_stored(*app, stored_as("harness in the dark"));
    CAPTURE(apart.mean);
    CAPTURE(apart.share);
    CHECK(alike(apart));
}

TEST_CASE("the README's picture of the window is what the window shows") {
    // Expected: the stored screen; tolerance: alike() in tests/paper/compare.h.
    const auto app = lesson(false, 1280, 800);
    const Apart apart = apart_from_stored(*app, readme_lesson);
    CAPTURE(apart.mean);
    CAPTURE(apart.share);
    CHECK(alike(apart));
}

TEST_CASE("a screen whose slider has moved is not alike") {
    // Expected: the comparison can fail: another condition's numbers and another place in the drawing.
    if (renewing()) return;
    const auto app = lesson(false);
    const Pane track = app->lesson().first_slider();
    Hand hand(*app);
    hand.click(track.x + 0.9F * track.width, track.y + track.height / 2);
    hand.move(5, 5);
    app->settle();
    const fs::path stored = LOSTVOLTS_SOURCE "/tests/window/expected/lesson on a tablet.png";
    sf::Image then;
    REQUIRE(then.loadFromFile(stored.string()));
    CHECK_FALSE(alike(compare(pixels_of(halved(app->shot())), pixels_of(then))));
}

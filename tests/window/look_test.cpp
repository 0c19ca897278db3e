// The window as a whole: its sizes and scales, its help, its places; and how long a frame takes.
#include <doctest/doctest.h>

#include <algorithm>
#include <cstdlib>

#include "tests/window/barn.h"
#include "tests/window/hand.h"
#include "tests/window/job.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

const std::string sprayer = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/readings.toml";
const std::string before_dismantling = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/before_dismantling.toml";

void resize(App& app, unsigned width, unsigned height) {
    sf::Event event{};
    event.type = sf::Event::Resized;
    event.size = {width, height};
    app.take(event);
    app.frame();
    app.settle();
}

/// Milliseconds of a frame while a slider of the Lesson is being dragged: the middle and the longest.
std::pair<double, double> frame_with_live_slider(App& app) {
    Hand hand(app);
    hand.key(sf::Keyboard::F3);
    app.settle();
    hand.key(sf::Keyboard::Num2); // a fault to have a slider for
    app.settle();
    hand.key(sf::Keyboard::Escape);
    app.settle();
    const Pane track = app.lesson().first_slider();
    REQUIRE(track.width > 0);
    const float y = track.y + track.height / 2;
    std::vector<double> all;
    for (int k = 0; k < 60; ++k) {
        sf::Event event{};
        event.type = k == 1 ? sf::Event::MouseButtonPressed : sf::Event::MouseMoved;
        const int x = static_cast<int>(track.x + track.width * (0.2F + 0.01F * static_cast<float>(k)));
        if (k == 1)
            event.mouseButton = {sf::Mouse::Left, x, static_cast<int>(y)};
        else
            event.mouseMove = {x, static_cast<int>(y)};
        app.take(event);
        app.frame();
        if (k > 4) all.push_back(app.last_frame_ms());
    }
    std::sort(all.begin(), all.end());
    return {all[all.size() / 2], all.back()};
}

} // namespace

TEST_CASE("the window resizes from a bench tablet up and keeps what is typed") {
    // Expected, by hand: what is in the blanks outlives the change; smaller than 800 by 480 is not taken.
    const Job job;
    const auto app = opened(job.readings);
    Hand hand(*app);
    hand.key(sf::Keyboard::N, true);
    hand.type("pump");
    resize(*app, 800, 480);
    CHECK(app->settings().width == 800);
    resize(*app, 1280, 800);
    resize(*app, 300, 200);
    CHECK(app->settings().width == least_width);
    CHECK(app->settings().height == least_height);
    CHECK(app->bench().typed_so_far().red == "pump");
}

TEST_CASE("scale and light are keys and the window remembers them and its place") {
    // Expected, by hand: two steps of 10 %, dark, the Lesson.
    const Job job;
    WindowOptions options;
    options.file = job.circuit;
    options.settings = job.folder.path("window.toml");
    {
        const auto app = opened(options);
        Hand hand(*app);
        hand.key(sf::Keyboard::Equal, true);
        hand.key(sf::Keyboard::Equal, true);
        hand.key(sf::Keyboard::F8);
        hand.key(sf::Keyboard::F3);
        hand.key(sf::Keyboard::Q, true);
        app->settle();
    }
    const Settings kept = read_settings(options.settings);
    CHECK(kept.scale == doctest::Approx(1.2));
    CHECK(kept.dark);
    CHECK(kept.place == 1);
}

TEST_CASE("a window that was left on a screen that is gone comes up where it can be seen whole") {
    // Expected: the lower right corner of the display, whose size SFML tells. Nobody else places it there.
    const Job job;
    WindowOptions options;
    options.file = job.circuit;
    options.settings = job.folder.path("window.toml");
    Settings far;
    far.x = far.y = 90000;
    far.width = 900;
    far.height = 500;
    write_settings(options.settings, far);
    {
        const auto app = opened(options);
        Hand(*app).key(sf::Keyboard::Q, true);
        app->settle();
    }
    const Settings kept = read_settings(options.settings);
    const sf::VideoMode display = sf::VideoMode::getDesktopMode();
    CHECK(kept.x == static_cast<int>(display.width) - 900);
    CHECK(kept.y == static_cast<int>(display.height) - 500);
}

TEST_CASE("every place can be seen in every size, light and dark") {
    // Expected: nothing to hold it against but the eye (LOSTVOLTS_SHOTS names a folder for the pictures);
    // here only that each is drawn at all.
    for (const auto& [size, width, height, scale] :
         {std::tuple{"tablet", 800, 480, 1.0}, {"laptop", 1280, 800, 1.0}, {"projector", 2560, 1440, 2.0}}) {
        const auto app = opened(before_dismantling, width, height, scale);
        Hand hand(*app);
        const char* light = "light";
        const auto look = [&, &size = size](const char* place) {
            app->settle();
            shoot(*app, fmt::format("{} {} {}", size, light, place));
        };
        const auto press = [&](sf::Keyboard::Key key) {
            hand.key(key);
            app->settle();
        };
        for (const char* now : {"light", "dark"}) {
            light = now;
            press(sf::Keyboard::F2);
            look("bench");
            press(sf::Keyboard::F10);
            look("bench alone");
            press(sf::Keyboard::F10);
            press(sf::Keyboard::F5);
            look("bench staircase");
            press(sf::Keyboard::F5);
            press(sf::Keyboard::F1);
            look("help");
            press(sf::Keyboard::Escape);
            press(sf::Keyboard::F3);
            look("lesson");
            press(sf::Keyboard::Num2);
            look("demonstration");
            press(sf::Keyboard::F7);
            look("presenting");
            press(sf::Keyboard::F7);
            press(sf::Keyboard::Escape);
            press(sf::Keyboard::F4);
            look("harness");
            press(sf::Keyboard::F8);
        }
        press(sf::Keyboard::F3);
        press(sf::Keyboard::Num4); // a hunt goes on until it is ended
        for (const char* now : {"light", "dark"}) {
            light = now;
            look("hunt");
            press(sf::Keyboard::F8);
        }
        CHECK(app->shot().getSize().x == static_cast<unsigned>(width));
    }
}

TEST_CASE("a slider that is dragged changes what the stage shows") {
    // Expected, by hand: to the right more resistance, so fewer volts across the load.
    const Job job;
    const auto app = opened(job.circuit);
    Hand hand(*app);
    hand.key(sf::Keyboard::F3);
    app->settle();
    hand.key(sf::Keyboard::Num2); // 50 milliohms, and back to the sliders
    app->settle();
    hand.key(sf::Keyboard::Escape);
    app->settle();
    const double before = si(app->lesson().stage().faulty.across);
    const Pane track = app->lesson().first_slider();
    REQUIRE(track.width > 0);
    shoot(*app, "slider");
    hand.drag(track.x + 0.4F * track.width, track.y + track.height / 2, track.x + 0.8F * track.width,
              track.y + track.height / 2);
    app->settle();
    CHECK(si(app->lesson().stage().faulty.across) < before - 0.5);
}

TEST_CASE("frames stay short while a slider is dragged") {
    // Expected: seconds inform; 16 ms and 33 ms are the aims on an idle machine, a quarter of a second would
    // be a fault.
    const Job job;
    for (const auto& size : {std::pair{26, many_lamps(8)}, {200, many_lamps(66)}}) {
        const int parts = size.first; // clang 14 takes no binding into MESSAGE
        const auto app = opened(job.folder.write("lamps.toml", size.second));
        const auto times = frame_with_live_slider(*app);
        const double middle = times.first, longest = times.second;
        MESSAGE(parts << " parts: middle " << middle << " ms, longest " << longest << " ms; stage "
                      << app->lesson().stage().milliseconds << " ms; findings "
                      << app->session().findings().milliseconds << " ms");
        if (!std::getenv("LOSTVOLTS_SANITIZED"))
            CHECK(middle < 250); // tests/run --sanitize: every access is looked at
        if (parts == 200) shoot(*app, "200 parts");
    }
}

// Question: does the window keep up with a hand? A frame while a slider of the Lesson is dragged (everything
// solved and drawn anew), a frame while the pointer goes over the Bench's drawing, and the time from the
// Enter that notes a reading to the frame that shows the suspects it leaves: those of the first answer, which
// the window shows as such, and those of the whole one, pairs and next reading weighed. Circuits of 26 and
// 200 parts, 1280 by 800, on a display of its own (Xvfb) with OpenGL in software (Mesa's llvmpipe): a machine
// without a graphics card.
//
// Before timing: the slider changed the stage, the reading is in the findings. Wanted on an idle machine:
// frames of at most 16 ms with 26 parts and 33 ms with 200, and 100 ms from the key to the suspects.
//
//   bench_window            the table; says the machine's load, which should be near nothing
#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <exception>
#include <string>
#include <vector>

#include "tests/bench/conditions.h"
#include "tests/bench/whole_process.h"
#include "tests/command/folder.h"
#include "tests/window/barn.h"
#include "tests/window/display.h"
#include "tests/window/hand.h"

namespace {

using namespace lostvolts;
using namespace lostvolts::window_tests;
using Clock = std::chrono::steady_clock;

double ms_since(Clock::time_point then) {
    return std::chrono::duration<double, std::milli>(Clock::now() - then).count();
}

[[noreturn]] void refuse(const char* why) {
    std::fprintf(stderr, "bench_window: %s\n", why);
    std::exit(1);
}

std::unique_ptr<App> window_on(const std::string& file) {
    need_display();
    WindowOptions options;
    options.file = file;
    WindowEnd end;
    auto app = App::open(options, end);
    if (!app) refuse(end.trouble.c_str());
    app->settle();
    return app;
}

/// Of one piece of work: by the clock, and of all processors together.
struct Timings {
    std::vector<double> wall{}, processor{};

    template <class Work> void take(Work work) {
        const std::clock_t used = std::clock();
        const auto begun = Clock::now();
        work();
        wall.push_back(ms_since(begun));
        processor.push_back(1e3 * static_cast<double>(std::clock() - used) / CLOCKS_PER_SEC);
    }
};

void say(int parts, const char* what, Timings t) {
    std::sort(t.wall.begin(), t.wall.end());
    std::sort(t.processor.begin(), t.processor.end());
    std::printf("%6d %-36s %9.1f %9.1f %9.1f %9.1f %11.1f\n", parts, what, t.wall[t.wall.size() / 2],
                t.wall[t.wall.size() * 95 / 100], t.wall.front(), t.wall.back(),
                t.processor[t.processor.size() / 2]);
}

void move_pointer(App& app, float x, float y) {
    sf::Event event{};
    event.type = sf::Event::MouseMoved;
    event.mouseMove = {static_cast<int>(x), static_cast<int>(y)};
    app.take(event);
}

void drag_slider(const std::string& file, int parts) {
    const auto app = window_on(file);
    Hand hand(*app);
    hand.key(sf::Keyboard::F3);
    app->settle();
    hand.key(sf::Keyboard::Num2); // a fault to have a slider for
    app->settle();
    hand.key(sf::Keyboard::Escape);
    app->settle();
    const Pane track = app->lesson().first_slider();
    const double before = si(app->lesson().stage().faulty.across);
    const float y = track.y + track.height / 2;
    move_pointer(*app, track.x + 0.1F * track.width, y);
    app->frame();
    sf::Event press{};
    press.type = sf::Event::MouseButtonPressed;
    press.mouseButton = {sf::Mouse::Left, static_cast<int>(track.x + 0.1F * track.width),
                         static_cast<int>(y)};
    app->take(press);
    Timings all;
    for (int k = 0; k < 160; ++k) {
        move_pointer(*app, track.x + track.width * (0.1F + 0.005F * static_cast<float>(k)), y);
        if (k < 10)
            app->frame();
        else
            all.take([&] { app->frame(); });
    }
    app->settle();
    if (si(app->lesson().stage().faulty.across) == before) refuse("the slider did not move");
    say(parts, "frame, slider dragged", std::move(all));
}

void sweep_pointer(const std::string& file, int parts) {
    const auto app = window_on(file);
    const Pane room = app->bench().drawing().pane();
    Timings all;
    for (int k = 0; k < 160; ++k) {
        const float s = static_cast<float>(k) / 160;
        move_pointer(*app, room.x + s * room.width, room.y + s * room.height);
        if (k < 10)
            app->frame();
        else
            all.take([&] { app->frame(); });
    }
    say(parts, "frame, pointer over the drawing", std::move(all));
}

/// Milliseconds until the suspects that the reading leaves are drawn, in a first or in the whole answer.
double until_drawn(App& app, Clock::time_point begun, Freshness wanted) {
    const auto there = [&] {
        return app.session().findings().job == app.session().job() &&
               (wanted == Freshness::first || app.session().freshness() == Freshness::whole);
    };
    while (!there()) {
        app.frame();
        if (ms_since(begun) > 60'000) refuse("no suspects came");
    }
    app.frame(); // the one that shows them
    return ms_since(begun);
}

void note_readings(const std::string& file, int parts) {
    const auto app = window_on(file);
    Hand hand(*app);
    Timings first, whole;
    for (int k = 0; k < 20; ++k) {
        hand.key(sf::Keyboard::N, true);
        hand.type("battery +");
        hand.enter();
        hand.type("battery -");
        hand.enter();
        hand.type(k % 2 == 0 ? "12.56" : "12.57");
        app->settle();
        sf::Event enter{};
        enter.type = sf::Event::KeyPressed;
        enter.key.code = sf::Keyboard::Enter;
        const std::clock_t used = std::clock();
        const auto begun = Clock::now();
        const auto note = [&](Timings& t, Freshness wanted) {
            t.wall.push_back(until_drawn(*app, begun, wanted));
            t.processor.push_back(1e3 * static_cast<double>(std::clock() - used) / CLOCKS_PER_SEC);
        };
        app->take(enter);
        note(first, Freshness::first);
        note(whole, Freshness::whole);
        enter.type = sf::Event::KeyReleased;
        app->take(enter);
        app->settle();
        if (static_cast<int>(app->session().readings().size()) != k + 1) refuse("the reading is not there");
    }
    say(parts, "Enter to the first answer drawn", std::move(first));
    say(parts, "Enter to the whole answer drawn", std::move(whole));
}

} // namespace

int main() try {
    std::printf("The window at 1280 by 800, OpenGL in software under Xvfb, milliseconds\n%sload       %s\n\n",
                bench::conditions().c_str(), bench::load().c_str());
    std::printf("%6s %-36s %9s %9s %9s %9s %11s\n", "parts", "", "median", "95 %", "least", "most",
                "processor");
    const command_tests::Folder folder;
    for (const auto& [name, branches] : {std::pair{"small.toml", 8}, {"large.toml", 66}}) {
        const std::string file = folder.write(name, many_lamps(branches));
        const int parts = 3 * branches + 2;
        drag_slider(file, parts);
        sweep_pointer(file, parts);
        note_readings(file, parts);
    }
} catch (const std::exception& e) {
    std::fprintf(stderr, "%s\n", e.what());
    return 1;
}

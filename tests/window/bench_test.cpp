// The Bench in a real window, by events: readings typed and clicked, undone, and what the window makes of
// them.
#include <doctest/doctest.h>

#include "tests/window/hand.h"
#include "tests/window/job.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

void click_point(App& app, Hand& hand, std::string_view name) {
    const auto at = app.bench().drawing().place_of(find_point(app.session().circuit(), name));
    REQUIRE(at);
    hand.click(at->x, at->y);
}

} // namespace

TEST_CASE("a reading is typed by keyboard alone and is in the file") {
    // Expected, by hand: the table at the end of the file as the session tests have it.
    const Job job;
    const auto app = opened(job.readings);
    shoot(*app, "plain");
    Hand hand(*app);
    hand.key(sf::Keyboard::N, true);
    hand.type("pump -");
    hand.enter();
    hand.type("battery-");
    hand.enter();
    hand.type("1.46");
    hand.enter();
    app->settle();
    shoot(*app, "typed");
    REQUIRE(app->session().readings().size() == 2);
    CHECK(app->session().readings().back().text == "1.46 V");
    CHECK(content(job.readings).find("value = \"1.46 V\"") != std::string::npos);
    REQUIRE(app->session().findings().location);
    CHECK(app->session().findings().location->verdict == Verdict::located);

    hand.key(sf::Keyboard::Escape);
    hand.key(sf::Keyboard::Z, true);
    app->settle();
    CHECK(app->session().readings().size() == 1);
    CHECK(content(job.readings) == wash_down_readings);
}

TEST_CASE("two points are clicked on the drawing and the value is typed") {
    // Expected, by hand: the first click takes the red lead, the second the black; the keyboard is then in
    // the value's blank.
    const Job job;
    const auto app = opened(job.readings);
    Hand hand(*app);
    click_point(*app, hand, "pump -");
    click_point(*app, hand, "battery -");
    CHECK(app->bench().typed_so_far().red == "pump -");
    CHECK(app->bench().typed_so_far().black == "battery -");
    hand.type("1.46 V");
    hand.enter();
    app->settle();
    REQUIRE(app->session().readings().size() == 2);
    CHECK(app->session().readings().back().black == find_point(app->session().circuit(), "battery -"));
}

TEST_CASE("a wrong value stays in its blank with what is wrong beside it") {
    // Expected, by hand: nothing is added, nothing lost; the value put right is taken.
    const Job job;
    const auto app = opened(job.readings);
    Hand hand(*app);
    click_point(*app, hand, "pump -");
    click_point(*app, hand, "battery -");
    hand.type("1,46 V");
    hand.enter();
    app->settle();
    shoot(*app, "wrong value");
    CHECK(app->session().readings().size() == 1);
    REQUIRE(app->bench().problems().size() == 1);
    CHECK(app->bench().problems()[0].key == "value");
    CHECK(app->bench().typed_so_far().value == "1,46 V");
    hand.type("1.46 V"); // what was wrong is selected: typing replaces it
    hand.enter();
    app->settle();
    CHECK(app->session().readings().size() == 2);
}

TEST_CASE("the proposed reading is taken with one key") {
    // Expected, by hand: F9 fills in what the solver proposes first.
    const Job job;
    const auto app = opened(job.readings);
    REQUIRE(app->session().findings().location);
    REQUIRE_FALSE(app->session().findings().location->next.empty());
    const NextReading next = app->session().findings().location->next.front();
    Hand hand(*app);
    hand.key(sf::Keyboard::F9);
    CHECK(app->bench().typed_so_far().state == next.state);
    CHECK(app->bench().typed_so_far().quantity == next.quantity);
    if (next.red != none)
        CHECK(app->bench().typed_so_far().red ==
              app->session().circuit().points[static_cast<std::size_t>(next.red)].name);
}

TEST_CASE("a capture that can't be read is told beside its path") {
    // Expected, by hand.
    const Job job;
    const auto app = opened(job.readings);
    Hand hand(*app);
    hand.key(sf::Keyboard::O, true);
    hand.type("nowhere.csv");
    hand.enter();
    app->settle();
    CHECK_FALSE(app->bench().recorded().problems.empty());
    CHECK_FALSE(app->bench().recorded().view);
}

TEST_CASE("leaving in the middle of a save leaves a whole file and exits") {
    // Expected: the reading is in the file, and the window says it is closed.
    const Job job;
    {
        const auto app = opened(job.readings);
        for (int k = 0; k < 20; ++k) app->session().add(over_the_ground("1.4" + std::to_string(k) + " V"));
        Hand hand(*app);
        hand.key(sf::Keyboard::Q, true);
        app->settle();
    }
    const auto read = read_readings(job.readings);
    REQUIRE(static_cast<bool>(read));
    CHECK(read->readings.size() == 21);
}

TEST_CASE("the window is told of a file that can't be opened and is not opened") {
    // Expected, by hand: 2 for bad input, as the commands have it.
    WindowOptions options;
    options.file = "/nowhere/circuit.toml";
    WindowEnd end;
    CHECK_FALSE(App::open(options, end));
    CHECK(end.code == 2);
    CHECK(end.trouble.find("there is no such file") != std::string::npos);
}

TEST_CASE("without a display the window says so") {
    // Expected, by hand: 3, and what to do instead.
    const Job job;
    const char* had = std::getenv("DISPLAY");
    const std::string display = had ? had : "";
    unsetenv("DISPLAY");
    WindowOptions options;
    options.file = job.readings;
    const WindowEnd end = open_window(options);
    if (had) setenv("DISPLAY", display.c_str(), 1);
    CHECK(end.code == 3);
    CHECK(end.trouble.find("there is no display") != std::string::npos);
}

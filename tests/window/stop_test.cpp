// Long work on a large circuit is stopped, what is shown says that it is of before, and work goes on when it
// is asked for again.
#include <doctest/doctest.h>

#include <chrono>

#include "solver/units/patience.h"
#include "tests/window/barn.h"
#include "tests/window/display.h"
#include "tests/window/hand.h"
#include "tests/window/job.h"
#include "viewer/window/kept_sketch.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

using Clock = std::chrono::steady_clock;

/// 3002 parts: weighing them takes many seconds.
struct Barn {
    command_tests::Folder folder{};
    std::string circuit = folder.write("circuit.toml", many_lamps(1000));
    std::string readings =
        folder.write("readings.toml", "circuit = \"circuit.toml\"\n[[reading]]\nstate = \"run\"\n"
                                      "quantity = \"current\"\nthrough = \"main\"\nvalue = \"640 A\"\n");
};

double seconds_since(Clock::time_point then) {
    return std::chrono::duration<double>(Clock::now() - then).count();
}

} // namespace

TEST_CASE("work that asks is given up at once and a worker then takes the next question") {
    // Expected: without the asking this loop would never end.
    Worker worker;
    std::atomic<bool> going = false;
    worker.ask([&](Watch&) -> Worker::Deliver {
        going = true;
        while (true) give_up_if_told();
    });
    while (!going) std::this_thread::yield();
    worker.cancel();
    worker.finish();
    CHECK_FALSE(worker.collect());
    int answer = 0;
    worker.ask([&](Watch&) -> Worker::Deliver { return [&] { answer = 2; }; });
    worker.finish();
    CHECK(worker.collect());
    CHECK(answer == 2);
}

TEST_CASE("the solver's long work is given up wherever it is") {
    // Expected: told so from the start, each ends without an answer.
    const Barn barn;
    const auto job = read_readings(barn.readings);
    REQUIRE(static_cast<bool>(job));
    const std::atomic<bool> told = true;
    const Patience until(told);
    CHECK_THROWS_AS((void)locate(*job), GivenUp);
    CHECK_THROWS_AS((void)size_harness(analyse(std::make_shared<const Circuit>(job->circuit)), {}), GivenUp);
    CHECK_THROWS_AS((void)sketch(job->circuit), GivenUp);
}

TEST_CASE("a long locate is stopped by one key and worked out by the same") {
    // Expected: it takes many seconds if it is let run (3002 parts: 20 s of this project's own measuring);
    // half a second after F11 nothing works any more. A quarter of a minute would be a fault on any machine.
    const Barn barn;
    WindowOptions options;
    options.file = barn.readings;
    need_display();
    WindowEnd end;
    const auto app = App::open(options, end);
    REQUIRE(app);
    Hand hand(*app);
    const auto begun = Clock::now();
    while (seconds_since(begun) < 1) REQUIRE(app->frame());
    REQUIRE(app->session().thinking());
    shoot_as_it_is(*app, "working it out");
    const auto stopped = Clock::now();
    hand.key(sf::Keyboard::F11);
    while (app->session().thinking() && seconds_since(stopped) < 15) REQUIRE(app->frame());
    MESSAGE("stopped within " << 1000 * seconds_since(stopped) << " ms");
    CHECK_FALSE(app->session().thinking());
    CHECK(app->session().stopped());
    CHECK_FALSE(app->session().findings().location);
    shoot_as_it_is(*app, "stopped");
    hand.key(sf::Keyboard::F11);
    CHECK(app->session().thinking());
    CHECK_FALSE(app->session().stopped());
    const auto leaving = Clock::now();
    hand.key(sf::Keyboard::F11);
    hand.key(sf::Keyboard::Q, true);
    while (app->frame()) {
    }
    CHECK(seconds_since(leaving) < 15); // leaving waits for no answer
}

TEST_CASE("a search for sizes is stopped and says that what is shown is of before") {
    // Expected, by hand: F11 while it searches; the next F11 searches again and ends.
    const Job job;
    const auto app = opened(job.folder.write("barn.toml", many_lamps(60)));
    Hand hand(*app);
    hand.key(sf::Keyboard::F4);
    if (app->harness().thinking()) {
        hand.key(sf::Keyboard::F11);
        app->settle();
        CHECK((app->harness().stopped() || app->harness().fitting().sizing));
        hand.key(sf::Keyboard::F11);
    }
    app->settle();
    CHECK_FALSE(app->harness().stopped());
    CHECK(app->harness().fitting().sizing);
}

TEST_CASE("the placing of a large drawing is stopped and gone on with") {
    // Expected, by hand: stopped, nothing is drawn and the words say so; the key is then the same again.
    const Barn barn;
    const auto session = Session::open(barn.circuit);
    REQUIRE(static_cast<bool>(session));
    KeptSketch kept;
    CHECK_FALSE(kept.of(**session, 800, 500));
    CHECK(kept.thinking());
    CHECK(kept.doing(**session) == "Placing 3002 parts …");
    kept.stop_thinking();
    const auto stopped = Clock::now();
    while (kept.thinking() && seconds_since(stopped) < 15) kept.tick();
    CHECK_FALSE(kept.thinking());
    CHECK_FALSE(kept.of(**session, 800, 500));
    CHECK(kept.stopped());
    CHECK(kept.doing(**session) == "✗ Stopped: nothing is drawn yet. F11 draws it.");
    kept.go_on();
    CHECK_FALSE(kept.of(**session, 800, 500));
    CHECK(kept.thinking());
    while (kept.thinking()) kept.tick();
    REQUIRE(kept.of(**session, 800, 500));
    CHECK(kept.of(**session, 800, 500)->parts.size() == 3002);
}

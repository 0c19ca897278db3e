// The first answer to a reading: shown at once, said to be one, and followed by the whole answer without
// anything moving; and a person who does not wait for it.
#include <doctest/doctest.h>

#include <chrono>

#include "tests/window/barn.h"
#include "tests/window/hand.h"
#include "tests/window/job.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

/// 26 parts: pairs and the next reading take a third of a second or more, single faults a hundredth.
struct Lights {
    command_tests::Folder folder{};
    std::string circuit = folder.write("circuit.toml", many_lamps(8));
    std::string readings =
        folder.write("readings.toml", "circuit = \"circuit.toml\"\n[[reading]]\nstate = \"run\"\n"
                                      "quantity = \"voltage\"\nred = \"battery +\"\nblack = "
                                      "\"battery -\"\nvalue = \"12.56 V\"\n");
};

/// Until the reading is taken: what is typed while a blank is about to take the keyboard comes a frame later.
void type_volts(App& app, const std::string& red, const std::string& black, const std::string& value) {
    Hand hand(app);
    const std::size_t before = app.session().readings().size();
    hand.key(sf::Keyboard::N, true);
    hand.type(red);
    hand.enter();
    hand.type(black);
    hand.enter();
    hand.type(value);
    hand.enter();
    for (int k = 0; k < 4000 && app.session().readings().size() == before; ++k) REQUIRE(app.frame());
    REQUIRE(app.session().readings().size() == before + 1);
}

/// Frames until the readings as they are have an answer of any kind.
void until_answered(App& app) {
    for (int k = 0; k < 4000 && app.session().findings().job != app.session().job(); ++k)
        REQUIRE(app.frame());
    REQUIRE(app.session().findings().job == app.session().job());
}

/// The window when the volts over a wire that is bad have their first answer, and not yet the whole one.
std::unique_ptr<App> opened_at_first_answer(const Lights& job) {
    auto app = opened(job.readings);
    type_volts(*app, "out 3", "lamp 3", "2.10");
    until_answered(*app);
    REQUIRE(app->session().findings().first_answer);
    return app;
}

/// That leads the suspects.
std::string part_of(App& app) {
    const Suspect& s = app.session().findings().location->suspects.front();
    return s.faults.empty() ? ""
                            : app.session().circuit().parts[static_cast<std::size_t>(s.faults[0].part)].name;
}

} // namespace

TEST_CASE("an answer handed over is collected while the work goes on") {
    // Expected, by hand: 1 while the work waits, then 2.
    Worker worker;
    std::atomic<bool> go_on = false;
    int answer = 0;
    worker.ask([&](Watch& watch) -> Worker::Deliver {
        watch.hand_over([&] { answer = 1; });
        while (!go_on) std::this_thread::yield();
        return [&] { answer = 2; };
    });
    while (!worker.collect()) std::this_thread::yield();
    CHECK(answer == 1);
    CHECK(worker.busy());
    go_on = true;
    worker.finish();
    CHECK(worker.collect());
    CHECK(answer == 2);
    CHECK_FALSE(worker.busy());
}

TEST_CASE("an answer handed over by work that is cancelled is not delivered") {
    // Expected, by hand: handed over before the cancelling or after it, nothing arrives.
    Worker worker;
    std::atomic<int> stage = 0;
    int answer = 0;
    worker.ask([&](Watch& watch) -> Worker::Deliver {
        watch.hand_over([&] { answer = 1; });
        stage = 1;
        while (stage == 1) std::this_thread::yield();
        watch.hand_over([&] { answer = 2; });
        return [&] { answer = 3; };
    });
    while (stage == 0) std::this_thread::yield();
    worker.cancel();
    CHECK_FALSE(worker.collect());
    stage = 2;
    worker.finish();
    CHECK_FALSE(worker.collect());
    CHECK(answer == 0);
}

TEST_CASE("a first answer is of single faults and has no next reading, and the whole one follows") {
    // Expected, by hand: 2.10 V over a wire that should drop 0.04 V is that wire, alone or with another.
    const Lights job;
    const auto app = opened_at_first_answer(job);
    const Findings& f = app->session().findings();
    CHECK(app->session().freshness() == Freshness::first);
    CHECK(app->session().thinking());
    REQUIRE(f.location);
    CHECK(f.location->next.empty());
    for (const Suspect& s : f.location->suspects) CHECK(s.faults.size() <= 1);
    CHECK(part_of(*app) == "wire 3");
    shoot_as_it_is(*app, "first answer");
    app->settle();
    CHECK(app->session().freshness() == Freshness::whole);
    CHECK_FALSE(app->session().findings().first_answer);
    CHECK(part_of(*app) == "wire 3");
    shoot(*app, "whole answer");
}

TEST_CASE("nothing moves when the whole answer takes the place of the first") {
    // Expected: each point of the drawing, the suspects and the next reading stay where they are, pixel by
    // pixel; so does the drawing while there is no answer yet.
    const Lights job;
    const auto app = opened(job.readings);
    const auto places = [&] {
        std::vector<float> all;
        for (PointId p = 0; p < static_cast<PointId>(app->session().circuit().points.size()); ++p) {
            const auto at = app->bench().drawing().place_of(p);
            REQUIRE(at);
            all.insert(all.end(), {at->x, at->y});
        }
        return all;
    };
    const auto at_rest = places();
    for (const auto& [red, black, value] : {std::tuple{"lamp 5", "battery -", "12.02"},
                                            {"out 3", "lamp 3", "2.10"},
                                            {"bus", "out 3", "0.02"}}) {
        type_volts(*app, red, black, value);
        CHECK(places() == at_rest);
        until_answered(*app);
        REQUIRE(app->session().findings().first_answer);
        REQUIRE(app->frame());
        CHECK(places() == at_rest);
        const float suspects = app->bench().suspects_top(), proposal = app->bench().proposal_top();
        CHECK(suspects > 0);
        CHECK(proposal > suspects);
        app->settle();
        CHECK(places() == at_rest);
        CHECK(app->bench().suspects_top() == suspects);
        CHECK(app->bench().proposal_top() == proposal);
    }
}

TEST_CASE("F11 keeps the first answer, says that it is no more than that, and works out the rest") {
    // Expected, by hand.
    const Lights job;
    const auto app = opened_at_first_answer(job);
    Hand hand(*app);
    hand.key(sf::Keyboard::F11);
    app->settle();
    CHECK(app->session().stopped());
    CHECK(app->session().freshness() == Freshness::first);
    CHECK(part_of(*app) == "wire 3");
    shoot(*app, "stopped at a first answer");
    hand.key(sf::Keyboard::F9); // nothing to take yet
    CHECK(app->bench().typed_so_far().value.empty());
    CHECK(app->news() == "The next reading is still being worked out.");
    hand.key(sf::Keyboard::F11);
    app->settle();
    CHECK(app->session().freshness() == Freshness::whole);
}

TEST_CASE("a second reading, an undo and leaving do not wait for the whole answer") {
    // Expected, by hand: what is shown in the end is of the readings as they are in the end.
    const Lights job;
    {
        const auto app = opened_at_first_answer(job);
        Hand hand(*app);
        type_volts(*app, "bus", "out 3", "0.02");
        REQUIRE(app->session().readings().size() == 3);
        until_answered(*app);
        for (int k = 0; k < 4000 && app->bench().about_to_type(); ++k) REQUIRE(app->frame());
        for (int k = 0; k < 3; ++k) REQUIRE(app->frame()); // the blank has the keyboard, and Escape takes it
        hand.key(sf::Keyboard::Escape);
        hand.key(sf::Keyboard::Z, true);
        hand.key(sf::Keyboard::Z, true);
        CHECK(app->session().readings().size() == 1);
        app->settle();
        CHECK(app->session().findings().job == app->session().job());
        CHECK(app->session().freshness() == Freshness::whole);
        CHECK(app->session().findings().location->verdict != Verdict::located);
        hand.key(sf::Keyboard::Y, true);
        until_answered(*app);
        hand.key(sf::Keyboard::Q, true);
        while (app->frame()) {
        }
    }
    const auto kept = read_readings(job.readings);
    REQUIRE(static_cast<bool>(kept));
    CHECK(kept->readings.size() == 2);
}

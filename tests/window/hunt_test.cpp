// A hidden fault hunted through the window: readings asked for, a part named, marks given. And a condition of
// the circuit that the Lesson opens with.
#include <doctest/doctest.h>

#include "tests/window/hand.h"
#include "tests/window/job.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

const std::string bilge = LOSTVOLTS_SOURCE "/circuits/workboat_bilge/circuit.toml";

void click_point(App& app, Hand& hand, PointId point) {
    const auto at = app.lesson().drawing().place_of(point);
    REQUIRE(at);
    hand.click(at->x, at->y);
}

} // namespace

TEST_CASE("a hidden fault is hunted by clicks and keys and the part that is named gets marks") {
    // Expected, by hand: two points clicked are the leads; Read it by its key gives one reading that costs
    // minutes; naming the part that was hidden is right and earns marks, at most 100.
    const auto app = opened(bilge);
    Hand hand(*app);
    hand.key(sf::Keyboard::F3);
    app->settle();
    hand.key(sf::Keyboard::Num4);
    app->settle();
    const Hunt& hunt = app->lesson().hunt();
    REQUIRE(hunt.on());
    REQUIRE(hunt.game());
    CHECK_FALSE(hunt.game()->complaints.empty());
    CAPTURE(hunt.game()->seed);
    shoot(*app, "hunt begins");

    const Circuit& circuit = app->session().circuit();
    const Part& part = circuit.parts[static_cast<std::size_t>(hunt.game()->hidden.part)];
    for (PointId p = 0; p < static_cast<PointId>(circuit.points.size()); ++p) {
        const auto at = app->lesson().drawing().place_of(p);
        REQUIRE(at);
        const Target* on = app->lesson().drawing().under(at->x, at->y);
        REQUIRE(on);
        CHECK(on->point == p);
    }
    click_point(*app, hand, part.from);
    CHECK(hunt.leads().red == circuit.points[static_cast<std::size_t>(part.from)].name);
    click_point(*app, hand, part.to);
    CHECK(hunt.leads().black == circuit.points[static_cast<std::size_t>(part.to)].name);
    hand.key(sf::Keyboard::R, true);
    app->settle();
    REQUIRE(hunt.game()->student.taken.size() == 1);
    CHECK(hunt.game()->student.minutes > 0);
    CHECK(app->news().find("It shows ") == 0);
    shoot(*app, "hunt reading");

    hand.key(sf::Keyboard::N, true);
    hand.type(part.name);
    hand.enter();
    app->settle();
    REQUIRE(hunt.scored());
    CHECK(hunt.scored()->right_part);
    CHECK(hunt.scored()->marks > 0);
    CHECK(hunt.scored()->marks <= 1);
    shoot(*app, "hunt scored");
}

TEST_CASE("a wrong part gets no marks and a name that is none is told beside its blank") {
    // Expected, by hand.
    const auto app = opened(bilge);
    Hand hand(*app);
    hand.key(sf::Keyboard::F3);
    hand.key(sf::Keyboard::Num4);
    app->settle();
    const Hunt& hunt = app->lesson().hunt();
    REQUIRE(hunt.game());
    hand.key(sf::Keyboard::N, true);
    hand.type("anchor windlass");
    hand.enter();
    app->settle();
    CHECK_FALSE(hunt.scored());
    REQUIRE(hunt.problems().size() == 1);
    CHECK(hunt.problems()[0].key == "named");
    shoot(*app, "hunt wrong name");

    const Circuit& circuit = app->session().circuit();
    const PartId wrong = hunt.game()->hidden.part == 0 ? 1 : 0;
    hand.key(sf::Keyboard::N, true);
    hand.type(circuit.parts[static_cast<std::size_t>(wrong)].name);
    hand.enter();
    app->settle();
    REQUIRE(hunt.scored());
    CHECK_FALSE(hunt.scored()->right_part);
    CHECK(hunt.scored()->marks == 0);
}

TEST_CASE("the Lesson opens with the faults of the condition that was asked for") {
    // Expected, by hand: the file's own condition, its part and its size, as lostvolts view --condition hands
    // it on.
    const std::string sprayer = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml";
    WindowOptions options;
    options.file = sprayer;
    options.condition = "corroded pump ground";
    const auto app = opened(options);
    CHECK(app->settings().place == 1);
    app->settle();
    const Circuit& circuit = app->session().circuit();
    const int k = find_condition(circuit, options.condition);
    REQUIRE(k != none);
    const std::vector<Fault>& written = circuit.conditions[static_cast<std::size_t>(k)].faults;
    const std::vector<Fault> shown = app->lesson().stage().faulty.faults;
    REQUIRE(shown.size() == written.size());
    CHECK(shown[0].part == written[0].part);
    CHECK(shown[0].size == doctest::Approx(written[0].size));
    shoot(*app, "condition");
}

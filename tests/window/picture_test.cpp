// Pictures looked at closely and from afar, by keys, wheel and hand, and alone in the window.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include "tests/window/barn.h"
#include "tests/window/hand.h"
#include "tests/window/job.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

const std::string sprayer = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/before_dismantling.toml";

/// Every point of the circuit lies inside the picture's room.
bool all_is_seen(App& app) {
    const Pane& room = app.bench().drawing().pane();
    for (PointId p = 0; p < static_cast<PointId>(app.session().circuit().points.size()); ++p) {
        const auto at = app.bench().drawing().place_of(p);
        if (!at || !room.holds(at->x, at->y)) return false;
    }
    return true;
}

sf::Vector2f place(App& app, std::string_view name) {
    const auto at = app.bench().drawing().place_of(find_point(app.session().circuit(), name));
    REQUIRE(at);
    return *at;
}

WrittenReading over_lamp(std::string value) {
    WrittenReading r;
    r.state = "run";
    r.quantity = "voltage";
    r.red = "lamp 7";
    r.black = "battery -";
    r.value = std::move(value);
    return r;
}

} // namespace

TEST_CASE("the whole drawing is seen on a bench tablet and on a projector") {
    // Expected: no point of the circuit lies outside its picture's room until somebody looks closer.
    for (const auto& [width, height, scale] :
         {std::tuple{800, 480, 1.0}, {1280, 800, 1.0}, {2560, 1440, 2.0}}) {
        const auto app = opened(sprayer, width, height, scale);
        Hand hand(*app);
        if (!app->bench().drawing().shown()) hand.key(sf::Keyboard::F10); // one at a time
        app->settle();
        const std::string look = fmt::format("{} by {} at {}", width, height, scale);
        CAPTURE(look);
        CHECK(all_is_seen(*app));
    }
}

TEST_CASE("a drawing too large to be read whole opens at the part of it that matters") {
    // Expected, by hand: the leads of the next reading are in the room, or the leading suspect; 0 shows the
    // whole and it stays so; leads that are filled in are brought into the room once it is looked at closely
    // again.
    const command_tests::Folder folder;
    const std::string circuit = folder.write("circuit.toml", many_lamps(16));
    const auto app = opened(circuit);
    Hand hand(*app);
    const Picture& drawing = app->bench().drawing();
    const auto seen = [&](std::string_view name) {
        const sf::Vector2f at = place(*app, name);
        return drawing.pane().holds(at.x, at.y);
    };
    CHECK(drawing.zoomed() > 1.5);
    CHECK_FALSE(all_is_seen(*app));
    const Location& found = *app->session().findings().location;
    REQUIRE_FALSE(found.next.empty());
    if (found.next.front().red != none)
        CHECK(seen(app->session().circuit().points[static_cast<std::size_t>(found.next.front().red)].name));
    shoot(*app, "50 parts");
    hand.key(sf::Keyboard::Num0);
    app->settle();
    CHECK(all_is_seen(*app));
    app->session().add(over_lamp("12.4 V"));
    app->settle();
    CHECK(all_is_seen(*app));
    for (int k = 0; k < 6; ++k) hand.key(sf::Keyboard::Equal);
    hand.key(sf::Keyboard::N, true);
    hand.type("lamp 15");
    hand.enter();
    app->settle();
    CHECK(seen("lamp 15"));
}

TEST_CASE("keys look closer at the drawing, move it and show all of it again") {
    // Expected, by hand: the arrow to the right shows what lies at the right, so points go to the left; the
    // picture's edge is where it ends.
    const auto app = opened(sprayer, 800, 480);
    Hand hand(*app);
    hand.key(sf::Keyboard::F9);
    app->settle();
    const sf::Vector2f before = place(*app, "relay 87");
    for (int k = 0; k < 3; ++k) hand.alt_key(sf::Keyboard::Equal); // while a blank has the keyboard
    CHECK(app->bench().drawing().zoomed() == doctest::Approx(1.3 * 1.3 * 1.3));
    const sf::Vector2f closer = place(*app, "relay 87");
    hand.alt_key(sf::Keyboard::Right);
    CHECK(place(*app, "relay 87").x < closer.x - 30);
    for (int k = 0; k < 40; ++k) hand.alt_key(sf::Keyboard::Right);
    const float at_the_edge = place(*app, "relay 87").x;
    hand.alt_key(sf::Keyboard::Right);
    CHECK(place(*app, "relay 87").x == at_the_edge);
    hand.alt_key(sf::Keyboard::Num0);
    CHECK(place(*app, "relay 87").x == doctest::Approx(before.x));
    CHECK(all_is_seen(*app));
    for (int k = 0; k < 40; ++k) hand.alt_key(sf::Keyboard::Equal);
    CHECK(app->bench().drawing().zoomed() < 12); // letters of 60 pixels are close enough
    CHECK(app->bench().typed_so_far().value.empty());
}

TEST_CASE("the wheel looks closer where the pointer is and dragging moves the drawing without a click") {
    // Expected, by hand: what is under the pointer stays there; a drag takes no lead.
    const auto app = opened(sprayer, 800, 480);
    Hand hand(*app);
    const sf::Vector2f at = place(*app, "fuse bus");
    hand.wheel(at.x, at.y, 4);
    CHECK(app->bench().drawing().zoomed() > 1.5);
    CHECK(place(*app, "fuse bus").x == doctest::Approx(at.x).epsilon(0.01));
    const Pane& room = app->bench().drawing().pane();
    const float x = room.x + room.width / 2, y = room.y + room.height / 2;
    const float before = place(*app, "relay 87").y;
    hand.drag(x, y, x, y - 60);
    CHECK(place(*app, "relay 87").y < before - 20);
    CHECK(app->bench().typed_so_far().red.empty());
}

TEST_CASE("the picture alone has the window until the value is to be typed") {
    // Expected, by hand: F10 gives it the panel's room; two points clicked there are the leads, and the blank
    // for the value is back.
    const auto app = opened(sprayer, 800, 480);
    Hand hand(*app);
    hand.key(sf::Keyboard::F10);
    app->settle();
    CHECK(app->bench().drawing().pane().width == 800);
    const sf::Vector2f red = place(*app, "pump ground ring");
    hand.click(red.x, red.y);
    CHECK(app->desk().alone);
    const sf::Vector2f black = place(*app, "frame");
    hand.click(black.x, black.y);
    app->settle();
    CHECK_FALSE(app->desk().alone);
    CHECK(app->bench().typed_so_far().red == "pump ground ring");
    CHECK(app->bench().typed_so_far().black == "frame");
    hand.type("1.4");
    CHECK(app->bench().typed_so_far().value == "1.4");
}

TEST_CASE("the pointer on a point of the drawing is on that point and no part") {
    // Expected: property, over bundled circuits, on a tablet and on a laptop.
    for (const char* name : {"orchard_sprayer", "workboat_bilge", "trailer_lamps", "glasshouse_winch"})
        for (const auto& [width, height] : {std::pair{800, 480}, {1280, 800}}) {
            const auto app =
                opened(std::string(LOSTVOLTS_SOURCE "/circuits/") + name + "/circuit.toml", width, height);
            const Circuit& c = app->session().circuit();
            Hand(*app).key(sf::Keyboard::Num0);
            for (PointId p = 0; p < static_cast<PointId>(c.points.size()); ++p) {
                const auto at = app->bench().drawing().place_of(p);
                REQUIRE(at);
                const Target* on = app->bench().drawing().under(at->x, at->y);
                CAPTURE(c.points[static_cast<std::size_t>(p)].name);
                CAPTURE(name);
                REQUIRE(on);
                CHECK(on->point == p);
            }
        }
}

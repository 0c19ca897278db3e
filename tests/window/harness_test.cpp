// The Harness: limits as a person writes them, and a size changed by hand.
#include <algorithm>

#include <doctest/doctest.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "tests/window/hand.h"
#include "viewer/window/fitting.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

const std::string sprayer_file = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml";

struct Sprayer {
    std::string text;
    Circuit circuit;
    Sprayer() : text(*read_text_file(sprayer_file)), circuit(*read_circuit_text(text, sprayer_file)) {}
    Fitting fitted(const FittingWish& wish) const {
        const Watch nobody;
        return fit(circuit, text, wish, nobody);
    }
};

} // namespace

TEST_CASE("what is wrong with a limit is told beside its field") {
    // Expected, by hand.
    const Sprayer s;
    FittingWish wish;
    wish.limit = "0.5";
    wish.ambient = "warm";
    wish.bundle = "none";
    const UnderstoodFitting u = understand(s.circuit, wish);
    REQUIRE(u.problems.size() == 3);
    CHECK(u.problems[0].key == "limit");
    CHECK(u.problems[1].key == "ambient");
    CHECK(u.problems[2].key == "bundle");
    wish = {};
    wish.limit = "3 %";
    CHECK(understand(s.circuit, wish).problems.empty());
    CHECK(si(understand(s.circuit, wish).request.rule.whole_loop) == doctest::Approx(0.36)); // of 12 V
}

TEST_CASE("a wire made too thin by hand breaks a limit and the others stay as chosen") {
    // Expected, by hand: 0.5 mm2 instead of the pump's feed wire loses volts that the limit does not have.
    const Sprayer s;
    const Fitting free = s.fitted({});
    REQUIRE(free.sizing);
    FittingWish wish;
    const PartId feed = find_part(s.circuit, "feed wire");
    wish.by_hand[feed] = "0.5 mm2";
    const Fitting thin = s.fitted(wish);
    CHECK((!thin.problems.empty() || !thin.breaks.empty()));
    if (thin.sizing)
        for (std::size_t k = 0; k < thin.sizing->wires.size(); ++k)
            if (thin.sizing->wires[k].part != feed)
                CHECK(write_wire_size(thin.sizing->wires[k].size) ==
                      write_wire_size(free.sizing->wires[k].size));
}

TEST_CASE("the sizes chosen go into the circuit's text and nothing else changes") {
    // Expected: the text reads as a circuit with those sizes, and has as many lines as before.
    const Sprayer s;
    const Fitting fitting = s.fitted({});
    REQUIRE(fitting.sizing);
    const auto text = with_sizes_of(s.text, fitting);
    REQUIRE(static_cast<bool>(text));
    CHECK(std::count(text->begin(), text->end(), '\n') == std::count(s.text.begin(), s.text.end(), '\n'));
    CHECK(static_cast<bool>(read_circuit_text(*text, sprayer_file)));
}

TEST_CASE("the Harness shows the sizes it found") {
    // Expected, by hand: F4 opens it; F5 goes from the wires to each fuse.
    const auto app = opened(sprayer_file);
    Hand hand(*app);
    hand.key(sf::Keyboard::F4);
    app->settle();
    REQUIRE(app->harness().fitting().sizing);
    shoot(*app, "harness");
    hand.key(sf::Keyboard::F5);
    app->settle();
    shoot(*app, "harness fuse");
}

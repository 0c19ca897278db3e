#include <doctest/doctest.h>

#include <cmath>

#include "solver/lesson/request.h"
#include "tests/lesson/motor_loop.h"

using namespace lostvolts;
using namespace lostvolts::lesson_tests;

namespace {

Game game_of(const Circuit& circuit, std::uint64_t seed) {
    auto game = start_game(circuit, seed);
    REQUIRE(game);
    return *std::move(game);
}

Taken asked(Game& game, const Prospect& p) {
    const auto taken = ask(game, p);
    REQUIRE(taken);
    return *taken;
}

/// Does as the program did.
void follow_own_plan(Game& game) {
    for (const Taken& t : game.own.taken) asked(game, t.asked);
}

} // namespace

TEST_CASE("a game is decided by its circuit and seed") {
    // Expected: the same twice; and over some seeds more than one part, for odds are drawn.
    const Circuit circuit = bundled("orchard_sprayer");
    std::vector<PartId> parts;
    for (std::uint64_t seed = 1; seed <= 4; ++seed) {
        CAPTURE(seed);
        Game a = game_of(circuit, seed), b = game_of(circuit, seed);
        CHECK(a.hidden.part == b.hidden.part);
        CHECK(a.hidden.kind == b.hidden.kind);
        CHECK(a.hidden.size == b.hidden.size);
        CHECK(a.own.minutes == b.own.minutes);
        REQUIRE_FALSE(a.complaints.empty());
        CHECK(a.complaints.front().words == b.complaints.front().words);
        const Prospect p{0, Measurand::voltage, find_point(circuit, "battery +"), circuit.ground, none};
        CHECK(asked(a, p).value == asked(b, p).value);
        parts.push_back(a.hidden.part);
    }
    std::sort(parts.begin(), parts.end());
    parts.erase(std::unique(parts.begin(), parts.end()), parts.end());
    CHECK(parts.size() > 1);
}

TEST_CASE("the program's own plan finds the part and has full marks") {
    // Expected: by the definition of the score; and that the same questions get the same answers.
    for (const char* scenario : {"orchard_sprayer", "workboat_bilge", "radiator_fan"})
        for (std::uint64_t seed = 1; seed <= 2; ++seed) {
            CAPTURE(scenario);
            CAPTURE(seed);
            Game game = game_of(bundled(scenario), seed);
            CHECK(game.own_part == game.hidden.part);
            follow_own_plan(game);
            REQUIRE(game.student.taken.size() == game.own.taken.size());
            for (std::size_t k = 0; k < game.own.taken.size(); ++k) {
                CHECK(game.student.taken[k].value == game.own.taken[k].value);
                CHECK(game.student.taken[k].bits == doctest::Approx(game.own.taken[k].bits));
            }
            const Score s = score(game, {game.own_part, {}});
            CHECK(s.right_part);
            CHECK(s.economy == 1);
            CHECK(s.marks == 1);
        }
}

TEST_CASE("the true fault named has full marks and another part none") {
    // Expected: by the definition of the score.
    Game game = game_of(bundled("workboat_bilge"), 4);
    const Score right = score(game, {game.hidden.part, game.hidden.kind});
    CHECK(right.marks == 1);
    CHECK(right.sure < 0.9); // nothing was read: a guess, and told as one
    const Score half = score(game, {game.hidden.part, FaultKind::stuck_closed});
    CHECK(half.right_part);
    CHECK_FALSE(half.right_kind);
    CHECK(half.marks == 0.5);
    const PartId other = game.hidden.part == 0 ? 1 : 0;
    CHECK(score(game, {other, {}}).marks == 0);
    CHECK(score(game, {}).marks == 0);
}

TEST_CASE("minutes beyond the program's own lower the marks in proportion") {
    // Expected: marks = the program's minutes over the student's, and the minutes add up by effort.h.
    const Circuit circuit = bundled("workboat_bilge");
    Game game = game_of(circuit, 2);
    double minutes = 0;
    for (const char* point : {"pump +", "pump -", "return wire end", "splice, panel side",
                              "splice, pump side", "float switch out"})
        minutes +=
            asked(game, {0, Measurand::voltage, find_point(circuit, point), circuit.ground, none}).minutes;
    CHECK(game.student.minutes == doctest::Approx(minutes));
    CHECK(minutes > 130); // 25 + 25 + 25 + 20 + 20 + 20 of access alone, circuit.toml
    CHECK(score(game, {game.hidden.part, {}}).marks == doctest::Approx(game.own.minutes / minutes));
}

TEST_CASE("a reading taken twice shows the same and tells nothing") {
    // Expected: practice.h. Turned leads show the opposite.
    const Circuit circuit = bundled("orchard_sprayer");
    Game game = game_of(circuit, 3);
    const PointId a = find_point(circuit, "pump +"), b = find_point(circuit, "battery -");
    const Taken first = asked(game, {0, Measurand::voltage, a, b, none});
    const Taken again = asked(game, {0, Measurand::voltage, b, a, none});
    CHECK_FALSE(first.again);
    CHECK(again.again);
    CHECK(again.value == -first.value);
    CHECK(again.bits == 0);
    CHECK(again.minutes < first.minutes);
    CHECK(game.student.job.readings.size() == 1);
}

TEST_CASE("what meters show lies within their accuracy of a machine within its tolerances") {
    // Expected: the battery's rest volts are the file's 12.6 V (an emf does not stray), a meter of 0.5 % + 2
    // counts of 10 mV, and half a count of rounding; over seeds the errors differ.
    const Circuit circuit = bundled("workboat_bilge");
    const int rest = find_state(circuit, "float down");
    const PointId plus = find_point(circuit, "battery +");
    double least = 100, most = 0;
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
        CAPTURE(seed);
        Game game = game_of(circuit, seed);
        if (game.circuit->parts[static_cast<std::size_t>(game.hidden.part)].name == "battery") continue;
        const double shown = asked(game, {rest, Measurand::voltage, plus, circuit.ground, none}).value;
        CHECK(std::abs(shown - 12.6) <= 0.005 * 12.6 + 0.02 + 0.005 + 1e-9);
        CHECK(std::abs(100 * shown - std::round(100 * shown)) < 1e-6);
        least = std::min(least, shown);
        most = std::max(most, shown);
    }
    CHECK(most > least);
}

TEST_CASE("lamp, ohms and ear answer for the hidden machine") {
    // Expected, by hand, in machines whose fault lies elsewhere or nowhere near the fuse: across the
    // battery's posts a lamp of 5 W is lit; a sound fuse reads its leads' 0.2 ohm on a dead circuit; what is
    // asked twice says the same twice and costs less.
    const Circuit circuit = bundled("workboat_bilge");
    const PartId pump = find_part(circuit, "bilge pump"), fuse = find_part(circuit, "bilge fuse");
    const Part& link = circuit.parts[static_cast<std::size_t>(fuse)];
    const int rest = find_state(circuit, "float down");
    const Prospect lamp{rest, Measurand::lamp, find_point(circuit, "battery +"), circuit.ground, none};
    const Prospect ohms{rest, Measurand::resistance, link.from, link.to, none};
    const Prospect sound{rest, Measurand::sound, none, none, pump};
    int played = 0;
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        CAPTURE(seed);
        Game game = game_of(circuit, seed);
        const std::string& hidden = circuit.parts[static_cast<std::size_t>(game.hidden.part)].name;
        if (hidden == "battery" || hidden == "bilge fuse") continue;
        ++played;
        CHECK(words_of(Measurand::lamp)[static_cast<std::size_t>(asked(game, lamp).value)] == "lit");
        const Taken read = asked(game, ohms), again = asked(game, ohms);
        CHECK_FALSE(read.open);
        CHECK(read.value <= 0.6); // 0.2 ohm, 0.8 % and 3 counts
        CHECK(again.value == read.value);
        CHECK(again.minutes < read.minutes);
        CHECK(words_of(Measurand::sound)[static_cast<std::size_t>(asked(game, sound).value)] == "silent");
        REQUIRE(game.student.belief.readings.size() == 3);
        for (const ReadingCheck& c : game.student.belief.readings) CHECK_FALSE(c.suspect_reading);
    }
    CHECK(played > 2);
}

TEST_CASE("a senseless question is refused and costs nothing") {
    // Expected: the messages word for word.
    const Circuit circuit = bundled("workboat_bilge");
    Game game = game_of(circuit, 1);
    const PartId pump = find_part(circuit, "bilge pump"), fuse = find_part(circuit, "bilge fuse");
    const auto refused = [&](const Prospect& p) {
        const auto taken = ask(game, p);
        REQUIRE_FALSE(taken);
        return taken.problems().front().what;
    };
    CHECK(refused({find_state(circuit, "pump unplugged"), Measurand::current, none, none, pump}) ==
          "the motor \"bilge pump\" is out of the circuit in state \"pump unplugged\"");
    CHECK(refused({0, Measurand::speed, none, none, fuse}) == "the fuse \"bilge fuse\" does not turn");
    CHECK(refused({0, Measurand::sound, none, none, fuse}) ==
          "the fuse \"bilge fuse\" makes no sound to go by");
    CHECK(refused({0, Measurand::lamp, 1, 1, none}) == "both leads are on the same point");
    CHECK(refused({0, Measurand::voltage, 1, 1, none}) == "both leads are on the same point");
    CHECK(game.student.minutes == 0);
}

#include "viewer/command/locate_text.h"

#include <doctest/doctest.h>

#include <sstream>

#include "tests/command/sample.h"
#include "viewer/command/style.h"
#include "viewer/command/verdict_text.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

std::string verdict(const Location& l) { return verdict_text(sample_readings(), l); }
std::string shown(const Location& l, int columns = 80) {
    return finish(locate_text(sample_readings(), l, columns), false);
}
bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

} // namespace

TEST_CASE("a located fault is told in one breath") {
    // Expected, by hand, from the sample's numbers.
    CHECK(verdict(sample_location()) == "The ground \"pump ground\" is bad: about 180 mΩ extra (90 % between "
                                        "160 mΩ and 205 mΩ). Probability 97 %.");
}

TEST_CASE("a part that may have failed in two ways has both in its probability") {
    // Expected, by hand: 60 % + 35 %.
    Location l = sample_location();
    l.suspects[0].probability = 0.60;
    l.suspects[1].probability = 0.35;
    l.suspects[1].faults[0] = {3, FaultKind::open, 0, 0, 0};
    CHECK(has(verdict(l), "Probability 60 %; that it is this part in one way or another, 95 %."));
}

TEST_CASE("a narrowed verdict says what to measure to tell the suspects apart") {
    // Expected, by hand.
    Location l = sample_location();
    l.verdict = Verdict::narrowed;
    l.suspects[0].probability = 0.55;
    l.suspects[1].probability = 0.44;
    l.group = {0, 1};
    CHECK(verdict(l) ==
          "Two suspects read alike here: pump ground: high resistance (55 %); feed: high resistance (44 %). "
          "To tell them apart, measure, in state run: voltage, red on "
          "\"battery +\", black on \"pump +\".");
    l.suspects[1].probability = 0.2;
    CHECK(has(verdict(l), "Two suspects are left by these readings:"));
    l.next.clear();
    CHECK(has(verdict(l), "No reading within reach would tell more."));
}

TEST_CASE("a healthy verdict claims no more than the readings tell") {
    // Expected, by hand.
    Location l = sample_location();
    l.verdict = Verdict::healthy;
    l.suspects = {l.suspects[2]};
    l.suspects[0].probability = 0.93;
    l.next.clear();
    CHECK(verdict(l) ==
          "Nothing is wrong with this circuit as far as these readings tell. Probability 93 %.");
    CHECK(!has(shown(l), "After the repair"));
}

TEST_CASE("contradictory readings are not made into a fault") {
    // Expected, by hand.
    Location l = sample_location();
    l.verdict = Verdict::contradictory;
    l.suspects = {l.suspects[3]};
    l.suspects[0].probability = 0.9;
    l.readings[1].suspect_reading = true;
    l.readings[1].likely = "clamp on backwards";
    l.next.clear();
    CHECK(
        verdict(l) ==
        "These readings contradict one another or this drawing: neither one fault nor two explain them. The "
        "nearest: something not in this drawing (90 %). Take reading 2 (current through \"bilge "
        "pump\") again: it looks wrong (clamp on backwards).");
    CHECK(has(shown(l, 120), "looks wrong: clamp on backwards"));
}

TEST_CASE("what the repair should read stands beside what was read") {
    // Expected, by hand: a sound circuit's 0.02 V, and a lamp that is then lit.
    Readings r = sample_readings();
    Location l = sample_location();
    l.readings[0].repaired = 0.02;
    CHECK(has(shown(l, 120), " 0.020 V\n"));
    r.readings[0].quantity = Measurand::lamp;
    r.readings[0].text = "dark";
    l.readings[0].told = 2;
    l.readings[0].expected_word = 2;
    l.readings[0].repaired_word = 0;
    const std::string told = finish(locate_text(r, l, 120), false);
    CHECK(has(told, "dark      dark  fits"));
    CHECK(has(told, "dark        lit"));
}

TEST_CASE("suspects that foretell the same reading share a line") {
    // Expected, by hand: the third suspect is given the first one's outcome.
    Location l = sample_location();
    l.suspects.insert(l.suspects.begin() + 1, l.suspects[0]);
    l.suspects[1].faults[0].part = 0;
    l.next[0].outcomes = {
        {0, 0.09, 0.05, 0.13}, {1, 0.09, 0.05, 0.13}, {2, 1.6, 1.5, 1.8}, {3, 0.09, 0.05, 0.13}};
    CHECK(has(shown(l, 120),
              "0.090 V  if pump ground or battery: high resistance; nothing wrong  (0.050 to 0.130 V)"));
    CHECK(has(shown(l, 120), " 1.60 V  if feed: high resistance"));
}

TEST_CASE("what is expected has the decimals of the meter") {
    // Expected, by hand: 1.45 V read with a resolution of 1 mV.
    Readings r = sample_readings();
    r.readings[0].resolution = 1e-3;
    CHECK(has(finish(locate_text(r, sample_location(), 120), false), "1.46 V   1.450 V  fits"));
}

TEST_CASE("readings that show no fault are not taken for proof of health") {
    // Expected, by hand.
    Location l = sample_location();
    l.verdict = Verdict::narrowed;
    l.suspects = {l.suspects[2], l.suspects[0]};
    l.suspects[0].probability = 0.45;
    l.suspects[1].probability = 0.5;
    l.next.clear();
    CHECK(verdict(l) ==
          "These readings show no fault and rule out few. Nothing wrong: 45 %; else: pump ground: high "
          "resistance (50 %). No reading within reach would tell more.");
}

TEST_CASE("the whole answer has its sections in the order a person needs them") {
    // Expected: the brief of this command; cautions always last.
    const std::string text = shown(sample_location());
    std::size_t last = 0;
    for (const char* part : {"Workboat, bilge pump\n", "The ground \"pump ground\" is bad", "\nSuspects\n",
                             "\nYour readings, if suspect 1 is right\n", "\nMeasure next\n",
                             "\nAfter the repair it should read\n", "\nBefore you touch the machine\n"}) {
        CAPTURE(part);
        const std::size_t at = text.find(part);
        REQUIRE(at != std::string::npos);
        CHECK(at >= last);
        last = at;
    }
    CHECK(has(text, "1. state run: voltage, red on \"battery +\", black on \"pump +\". About 26 min."));
    CHECK(has(text, "0.090 V  if pump ground: high resistance  (0.050 to 0.130 V)"));
    CHECK(has(text, "Never fit a bigger fuse"));
    CHECK(has(text, "The maker's procedures, local codes and licensed practice come first."));
}

TEST_CASE("nothing locate shows is wider than the screen") {
    // Expected: the promise of a screen of 40 columns.
    for (const int columns : {40, 60, 80, 120}) {
        std::istringstream lines(shown(sample_location(), columns));
        for (std::string line; std::getline(lines, line);) {
            CAPTURE(columns);
            CAPTURE(line);
            CHECK(width_of(line) <= columns);
        }
    }
}

#include "viewer/command/plan_text.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <sstream>

#include "tests/command/folder.h"
#include "tests/command/outside.h"
#include "tests/command/sample.h"
#include "viewer/command/json.h"
#include "viewer/command/style.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

/// Two readings: the feed's drop settles it when it is high; else the ground's drop with the rotor held.
Location planned() {
    Location l = sample_location();
    l.verdict = Verdict::narrowed;
    l.suspects[0].probability = 0.55;
    l.suspects[1].probability = 0.44;
    PlanStep first, second;
    first.reading = {0, Measurand::voltage, 1, 2, none, 0.9, 12, {}};
    first.probability = 1;
    first.outcomes = {{0.56, 0.021, 0.004, 0.04, {{0, 0.9}, {2, 0.1}}, {1}, false, none, 1},
                      {0.44, 1.62, 1.5, 1.8, {{1, 0.99}}, {0}, true, 1, none}};
    second.reading = {1, Measurand::voltage, 3, 0, none, 0.4, 3, {}};
    second.depth = 1;
    second.probability = 0.56;
    second.outcomes = {{0.1, 0.03, 0.02, 0.05, {{2, 0.97}}, {0}, true, none, none},
                       {0.9, 3.1, 2.9, 3.3, {{0, 0.93}, {2, 0.07}}, {}, false, none, none}};
    l.plan = {{first, second}, 13.7, 1.1, 0.5};
    return l;
}

std::string shown(const Location& l, int columns = 120) {
    Readings r = sample_readings();
    r.circuit.points[2].note = "behind the panel";
    r.circuit.points[2].access = from_si<Time<>>(600.0);
    return finish(plan_text(r, l, columns), false);
}

} // namespace

TEST_CASE("a plan is told reading by reading with what each outcome means") {
    // Expected, by hand, from the plan above; without a meter listed a 4000-count multimeter reads.
    CHECK(shown(planned()) ==
          "  At most 2 readings, about 14 min in all; they settle it in 5 of 10 cases.\n"
          "  1. State run: voltage, red on \"battery +\", black on \"pump +\". About 12 min.\n"
          "     \"pump +\": behind the panel.\n"
          "     0.021 V  (0.004 to 0.040 V)  56 %  Go on with 2. Left: pump ground. Cleared: feed.\n"
          "     1.620 V  (1.500 to 1.800 V)  44 %  It is the wire feed. Mend it and test again.\n"
          "  2. If 1 read about 0.021 V: state stall: voltage, red on \"pump -\", black on \"battery -\". "
          "About "
          "3 min.\n"
          "     First: hold the rotor of \"bilge pump\", for two seconds at most.\n"
          "     0.030 V  (0.020 to 0.050 V)  10 %  Nothing is wrong with this circuit: stop here.\n"
          "     3.100 V  (2.900 to 3.300 V)  90 %  Enter it and run locate again. Left: pump ground.\n"
          "  If a reading is none of these: enter it and run locate again.\n");
    CHECK(shown(sample_location()).empty());
}

TEST_CASE("a plan says words where words are meant and takes the battery off before ohms") {
    // Expected, by hand: the outcome's words instead of a number, and every source off and on again.
    Location l = planned();
    NextReading& lamp = l.plan.steps[0].reading;
    lamp.quantity = Measurand::lamp;
    l.plan.steps[0].outcomes[0].words = {1, 2};
    l.plan.steps[0].outcomes[1].words = {0};
    NextReading& ohms = l.plan.steps[1].reading;
    ohms.quantity = Measurand::resistance;
    l.plan.steps[1].outcomes[0] = {0.1, 1e9, 1e9, 1e9, {{2, 0.97}}, {0}, true, none, none, {0}};
    l.plan.steps[1].outcomes[1] = {0.9, 0.3, 0, 0.6, {{0, 0.93}, {2, 0.07}}, {}, false, none, none};
    const std::string text = shown(l);
    CAPTURE(text);
    for (const char* wanted :
         {"  1. State run: test lamp, red on \"battery +\", black on \"pump +\". About 12 min.\n",
          "     dim or dark  56 %  Go on with 2.", "             lit  44 %  It is the wire feed.",
          ("  2. If 1 says dim or dark: state stall: resistance with the circuit dead, red on \"pump -\", "
           "black on \"battery -\"."),
          "     First: disconnect \"battery\": the ground lead off and insulated.\n", "open  ",
          "0.3 Ω  (0.0 to 0.6 Ω)  90 %"})
        CHECK(text.find(wanted) != std::string::npos);
}

TEST_CASE("a kind of fault is named where it is no plain resistance and a battery is not mended") {
    // Expected, by hand.
    Location l = planned();
    l.suspects[1].faults[0] = {0, FaultKind::low_charge, 0.3, 0.2, 0.4};
    l.suspects[0].faults[0] = {2, FaultKind::worn_brushes, 0.3, 0.2, 0.4};
    l.plan.steps[0].outcomes[1].mend = 0;
    const std::string text = shown(l);
    CHECK(text.find("It is the battery battery (low charge). Charge or change it and test again.") !=
          std::string::npos);
    CHECK(text.find("Left: bilge pump (worn brushes).") != std::string::npos);
}

TEST_CASE("a plan fits a narrow screen") {
    // Expected: the promise of a screen of 40 columns.
    for (const int columns : {40, 60, 80}) {
        std::istringstream lines(shown(planned(), columns));
        for (std::string line; std::getline(lines, line);) {
            CAPTURE(line);
            CHECK(width_of(line) <= columns);
        }
    }
}

TEST_CASE("the way to a state says what to switch off before anything is parted") {
    // Expected, by hand.
    Circuit c = sample_circuit();
    State out, bridged;
    out.removed = {2};
    bridged.bridged = {1};
    bridged.closed = {3};
    c.states.push_back(out);
    c.states.push_back(bridged);
    CHECK(way_to_state(c, 0, 0).empty());
    CHECK(way_to_state(c, none, 0).empty());
    CHECK(way_to_state(c, 0, 2) == "current off; take out \"bilge pump\"");
    CHECK(way_to_state(c, 2, 3) ==
          "current off; put \"bilge pump\" back; fused jumper across \"feed\"; switch on "
          "\"pump ground\"");
    CHECK(way_to_state(c, 3, 0) == "current off; take the jumper off \"feed\"; switch off \"pump ground\"");
    CHECK(way_to_state(c, 0, 1) == "hold the rotor of \"bilge pump\", for two seconds at most");
}

TEST_CASE("the plan's JSON names its parts and links its steps") {
    // Expected, by hand, from the plan above.
    const Json plan = json_of(sample_readings(), planned())["plan"];
    CHECK(plan["minutes"] == 13.7);
    CHECK(plan["settled"] == 0.5);
    REQUIRE(plan["steps"].size() == 2);
    const Json& first = plan["steps"][0];
    CHECK(first["red"] == "battery +");
    CHECK(first["unit"] == "V");
    CHECK(first["outcomes"][0]["next"] == 1);
    CHECK(first["outcomes"][0]["mend"].is_null());
    CHECK(first["outcomes"][0]["cleared"] == Json::array({1}));
    CHECK(first["outcomes"][1]["mend"] == "feed");
    CHECK(first["outcomes"][1]["next"].is_null());
    CHECK(first["outcomes"][1]["suspects"][0]["suspect"] == 1);
    CHECK(plan["steps"][1]["outcomes"][0]["settled"] == true);
    CHECK(json_of(sample_readings(), sample_location())["plan"]["steps"].empty());
}

TEST_CASE("the plan ends with the command that notes its first reading, as a shell takes it") {
    // Expected, by hand: words with a shell's own signs in quotes; broken between words only. A shell's
    // answer is what `sh` makes of it.
    const Folder folder;
    Readings r = sample_readings();
    r.file = folder.write("a job.toml", "");
    r.circuit.points[2].name = "pump + (plug)";
    const std::string text = finish(plan_text(r, planned(), 60), false);
    CHECK(text.find("To enter 1, with what it reads for VALUE:\n    lostvolts note") != std::string::npos);
    const std::string command = text.substr(text.find("lostvolts note"));
    CHECK(std::count(command.begin(), command.end(), '\n') == 2);
    CHECK(output_of("lostvolts() { printf '%s|' \"$@\"; }\n" + command) ==
          "note|" + r.file + "|VALUE|battery|+|to|pump|+|(plug)|in|run|");
    // Readings that came through a pipe can't be added to.
    r.file = "standard input";
    CHECK(finish(plan_text(r, planned(), 120), false).ends_with("enter it and run locate again.\n"));
}

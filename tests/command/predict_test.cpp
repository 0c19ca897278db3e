#include <doctest/doctest.h>

#include <algorithm>
#include <sstream>

#include "tests/command/folder.h"
#include "tests/command/sample.h"
#include "viewer/command/json.h"
#include "viewer/command/style.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

Json answer_of(const std::vector<std::string>& words) {
    const Answer a = run(words);
    CHECK(a.code == exit_done);
    CHECK(a.err == "");
    return Json::parse(a.out);
}

const Json& named(const Json& list, std::string_view name) {
    const auto it = std::find_if(list.begin(), list.end(), [&](const Json& j) { return j["name"] == name; });
    REQUIRE(it != list.end());
    return *it;
}

} // namespace

TEST_CASE("predict's JSON has Ohm's law in it") {
    // Expected, by hand: 12 V over 0.1 + 0.1 + 3.7 + 0.1 = 4 ohm is 3 A; 0.3 V over each 0.1 ohm; 11.1 V at
    // the heater; power 33.3 W. Tolerance: rounding, 1e-9.
    const Folder folder;
    const std::string file = folder.write("heater.toml", heater_circuit);
    const Json j = answer_of({"predict", file, "--json"});
    CHECK(j["circuit"] == "Cab heater");
    REQUIRE(j["states"].size() == 1);
    const Json& state = j["states"][0];
    CHECK(state["name"] == "run");
    const auto near = [](double x) { return doctest::Approx(x).epsilon(1e-9); };
    CHECK(state["points"]["battery -"] == 0.0);
    CHECK(state["points"]["battery +"].get<double>() == near(11.7));
    CHECK(state["points"]["heater -"].get<double>() == near(0.3));
    const Json& feed = named(state["parts"], "feed");
    CHECK(feed["kind"] == "wire");
    CHECK(feed["current_A"].get<double>() == near(3));
    CHECK(feed["drop_V"].get<double>() == near(0.3));
    CHECK(feed["power_W"].get<double>() == near(0.9));
    CHECK(feed["resistance_ohm"].get<double>() == near(0.1));
    CHECK(feed["limit_V"].is_number());
    CHECK(feed["over_limit"] == (feed["drop_V"].get<double>() > feed["limit_V"].get<double>()));
    const Json& battery = named(state["parts"], "battery");
    CHECK(battery["current_A"].get<double>() == near(3)); // from − to +, through the battery
    CHECK(battery["drop_V"].get<double>() == near(-11.7));
    CHECK(battery["limit_V"].is_null());
    CHECK(state["motors"].empty());
    CHECK(state["residual_A"].get<double>() < 1e-9);
    CHECK(named(state["loads"], "heater")["across_V"].get<double>() == near(11.1));
    CHECK(named(state["loads"], "heater")["lost_V"].get<double>() == near(0.6));
}

TEST_CASE("a condition puts its faults in and a state alone is shown alone") {
    // Expected, by hand: the ground's drop over its current is its own 2 mohm and the condition's 180 mohm.
    const Folder folder;
    const std::string file = folder.write("pump.toml", pump_circuit);
    const Json j = answer_of({"predict", file, "--json", "--state", "run", "--condition", "corroded ground"});
    REQUIRE(j["states"].size() == 1);
    CHECK(j["condition"] == "corroded ground");
    CHECK(j["faults"][0]["part"] == "pump ground");
    const Json& ground = named(j["states"][0]["parts"], "pump ground");
    CHECK(ground["drop_V"].get<double>() / ground["current_A"].get<double>() ==
          doctest::Approx(0.182).epsilon(1e-9));
    CHECK(ground["over_limit"] == true);
    const Json& motor = named(j["states"][0]["motors"], "bilge pump");
    for (const char* key : {"speed_rpm", "torque_Nm", "back_emf_V", "current_A"})
        CHECK(motor[key].is_number());
    CHECK(answer_of({"predict", file, "--json"})["states"].size() == 2);
    CHECK(answer_of({"predict", file, "--json", "--state", "off", "--state", "run"})["states"][0]["name"] ==
          "off");
}

TEST_CASE("the table says over in a word and what reaches the load") {
    // Expected, by hand: 11.1 V reach the heater and 0.6 V are lost, as above.
    const Folder folder;
    const std::string file = folder.write("heater.toml", heater_circuit);
    const Answer a = run({"predict", file});
    CHECK(a.code == exit_done);
    CHECK(a.out.starts_with("Cab heater\n\nrun\n"));
    CHECK(has(a.out, "11.10 V reaches heater \"heater\"; 0.60 V is lost on the way"));
    CHECK(has(a.out, "over"));
    CHECK(!has(a.out, "\x1b"));
    CHECK(has(run({"predict", file}, {.colour = true}).out, "\x1b[1;31mover\x1b[0m"));
}

TEST_CASE("predict fits forty columns") {
    // Expected: the narrowest screen that command.h promises.
    const Folder folder;
    const std::string file = folder.write("pump.toml", pump_circuit);
    const Answer a = run({"predict", file, "--condition", "corroded ground"}, {.columns = 40});
    REQUIRE(a.code == exit_done);
    std::istringstream lines(a.out);
    for (std::string line; std::getline(lines, line);) CHECK_MESSAGE(width_of(line) <= 40, line);
}

TEST_CASE("strict tells of a drop over its limit by the exit code") {
    // Expected: exit codes of DESIGN; 0.6 V lost of the usual 0.5 V.
    const Folder folder;
    const std::string heater = folder.write("heater.toml", heater_circuit);
    const std::string pump = folder.write("pump.toml", pump_circuit);
    CHECK(run({"predict", heater, "--strict"}).code == exit_finding);
    CHECK(run({"predict", heater, "--strict", "--json"}).code == exit_finding);
    CHECK(run({"predict", pump, "--strict"}).code == exit_done);
}

TEST_CASE("a state or condition that is not there is answered with the nearest") {
    // Expected, by hand: messages pinned word for word.
    const Folder folder;
    const std::string file = folder.write("pump.toml", pump_circuit);
    const Answer state = run({"predict", file, "--state", "rum"});
    CHECK(state.code == exit_bad_input);
    CHECK(state.err ==
          file + ": there is no state \"rum\"\n  did you mean \"run\"? the circuit has \"run\", \"off\"\n");
    const Answer condition = run({"predict", file, "--condition", "water"});
    CHECK(condition.err ==
          file + ": there is no condition \"water\"\n  the circuit has \"corroded ground\"\n");
    const std::string plain = folder.write("heater.toml", heater_circuit);
    CHECK(run({"predict", plain, "--condition", "water"}).err ==
          plain + ": there is no condition \"water\"\n  the circuit has no conditions\n");
    const Answer both = run({"predict", file, "--state", "rum", "--condition", "water", "--json"});
    CHECK(both.code == exit_bad_input);
    CHECK(both.err.ends_with("2 mistakes in 1 file\n"));
    CHECK(Json::parse(both.out)["problems"].size() == 2);
}

TEST_CASE("readings are refused by predict with the circuit to give instead") {
    // Expected, by hand.
    const Folder folder;
    folder.write("circuit.toml", pump_circuit);
    const std::string readings = folder.write("readings.toml", pump_readings);
    const Answer a = run({"predict", readings});
    CHECK(a.code == exit_bad_input);
    CHECK(a.err == readings + ": these are readings; predict takes the circuit they were taken on\n" +
                       "  write  lostvolts predict " + folder.path("circuit.toml") + "\n");
}

TEST_CASE("a relay that takes away its own coil's voltage is no solution") {
    // Expected, by hand: the coil is fed through its own contact's load side by a resistor that holds it up
    // only while the contact is open; operate.cpp calls it chatter.
    const Folder folder;
    const std::string file = folder.write("buzzer.toml", R"(format = 1
name = "Buzzer"
ground = "battery -"

[[part]]
name = "battery"
kind = "battery"
from = "battery -"
to = "battery +"
emf = "12 V"
resistance = "10 mohm"

[[part]]
name = "lead"
kind = "resistor"
from = "battery +"
to = "coil +"
resistance = "10 ohm"

[[part]]
name = "relay"
kind = "relay"
from = "coil +"
to = "battery -"
contact = "10 mohm"
coil_from = "coil +"
coil_to = "battery -"
coil = "85 ohm"
pull_in = "7.2 V"
)");
    const Answer a = run({"predict", file, "--json"});
    CHECK(a.code == exit_no_solution);
    CHECK(has(a.err, "relay \"relay\" chatters"));
    const Json j = Json::parse(a.out);
    CHECK(j["states"].empty());
    CHECK(j["problems"].size() == 1);
}

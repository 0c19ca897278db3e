#include <doctest/doctest.h>

#include <cmath>
#include <fstream>
#include <sstream>

#include "tests/command/folder.h"
#include "tests/command/sample.h"
#include "viewer/command/inrush_text.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

const std::string sprayer = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml";

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

std::vector<std::string> lines_of(const std::string& file) {
    std::ifstream in(file);
    std::vector<std::string> lines;
    for (std::string line; std::getline(in, line);) lines.push_back(line);
    return lines;
}

} // namespace

TEST_CASE("inrush writes a capture with a header and a row of units") {
    // Expected: DESIGN, "A capture"; 0.5 s every 0.1 ms is 5001 samples.
    const Folder folder;
    const std::string csv = folder.path("start.csv");
    const Answer a = run({"inrush", sprayer, "--state", "run", "--bounces", "3", "--csv", csv});
    CHECK(a.code == exit_done);
    CHECK(a.err == "");
    const auto lines = lines_of(csv);
    REQUIRE(lines.size() == 2 + 5001);
    CHECK(lines[0] == "time,\"volts, battery + to battery -\",\"amps, rinse pump\"");
    CHECK(lines[1] == "s,V,A");
    CHECK(lines[2].substr(0, 2) == "0,");
    CHECK(lines.back().substr(0, 4) == "0.5,");
}

TEST_CASE("what inrush writes is what waveform reads") {
    // Expected: the same start in both: peak and run current within 2 %.
    const Folder folder;
    const std::string csv = folder.path("start.csv");
    const Answer told = run({"inrush", sprayer, "--csv", csv, "--json"});
    REQUIRE(told.code == exit_done);
    const Answer seen = run({"waveform", csv, "--json"});
    REQUIRE(seen.code == exit_done);
    const Json ours = Json::parse(told.out)["motors"][0], theirs = Json::parse(seen.out);
    const auto near = [](double a, double b) { CHECK(std::abs(a - b) < 0.02 * b); };
    near(theirs["peak_current_A"], ours["peak_current_A"]);
    near(theirs["run_current_A"], ours["run_current_A"]);
    // The battery's 9 milliohms, within 1 %; the bars are all alike, so nothing marks a turn.
    CHECK(std::abs(theirs["upstream_ohm"]["value"].get<double>() - 0.009) < 0.01 * 0.009);
    CHECK(theirs["upstream_ohm"]["low"].get<double>() <= 0.009);
    CHECK(theirs["upstream_ohm"]["high"].get<double>() >= 0.00899);
    CHECK(theirs["speed_rpm"].is_null());
}

TEST_CASE("a capture with speed beside is read all the same") {
    // Expected, by hand: the row of units then holds rpm, which is no business of waveform's.
    const Folder folder;
    const std::string csv = folder.path("start.csv");
    REQUIRE(run({"inrush", sprayer, "--probe", "rpm: rinse pump", "--probe", "A: rinse pump", "--probe",
                 "V: battery + / battery -", "--csv", csv})
                .code == exit_done);
    const Answer seen = run({"waveform", csv, "--json"});
    REQUIRE_MESSAGE(seen.code == exit_done, seen.err);
    CHECK(Json::parse(seen.out)["resting_voltage_V"].get<double>() == doctest::Approx(12.6).epsilon(1e-4));
}

TEST_CASE("inrush answers in JSON what its table says") {
    // Expected: three bounces asked of switch and relay each; the run current of predict within 1 %, for with
    // ripple the mean is not quite the settled one; energy adds up.
    const Answer a = run({"inrush", sprayer, "--state", "run", "--bounces", "3", "--seed", "4", "--json"});
    REQUIRE(a.code == exit_done);
    const Json j = Json::parse(a.out);
    CHECK(j["state"] == "run");
    CHECK(j["csv"].is_null());
    CHECK(j["bounces"] == 6);
    const Answer p = run({"predict", sprayer, "--state", "run", "--json"});
    const double settled = Json::parse(p.out)["states"][0]["motors"][0]["current_A"];
    const double end = j["motors"][0]["run_current_A"];
    CHECK(std::abs(end - settled) < 0.01 * settled);
    CHECK(std::abs(j["energy_J"]["leftover"].get<double>()) < 1e-4 * j["energy_J"]["given"].get<double>());
    CHECK(j["fuses"][0]["opens_earliest_s"].is_null());
}

TEST_CASE("a stalled fan gives --strict something to tell") {
    // Expected: 59 A through 30 A for half a second, ISO 8820-3's quickest fuse opens at 0.15 s at 200 %.
    const std::string fan = LOSTVOLTS_SOURCE "/circuits/radiator_fan/circuit.toml";
    const Answer a = run({"inrush", fan, "--state", "stall", "--strict"});
    CHECK(a.code == exit_finding);
    CHECK(has(a.out, "may open, from 1"));
}

TEST_CASE("inrush tells every mistake in its words at once") {
    // Expected: one message per wrong option, word for word.
    const Answer a = run({"inrush", sprayer, "--state", "runn", "--probe", "A rinse", "--probe",
                          "rpm: fuse 4", "--duration", "5", "--bad-bar", "rinse pump: 9: open"});
    CHECK(a.code == exit_bad_input);
    CHECK(has(a.err, "there is no state \"runn\"\n  did you mean \"run\"?"));
    CHECK(has(a.err, "the probe \"A rinse\" doesn't say what it reads\n"
                     "  write a probe as \"A: rinse pump\", \"V: pump + / pump -\" or \"rpm: rinse pump\""));
    CHECK(has(a.err, "fuse \"fuse 4\" has no speed"));
    CHECK(has(a.err, "--duration has no unit"));
    const Answer bar = run({"inrush", sprayer, "--bad-bar", "rinse pump: 9: open"});
    CHECK(bar.code == exit_bad_input);
    CHECK(has(bar.err, "\"rinse pump\" has no commutator bar 9"));
}

TEST_CASE("a probe names a part or two points in plain words") {
    // Expected: the syntax of inrush_text.h; without a black lead, against ground.
    const Circuit c = sample_circuit();
    const std::string from = c.points[static_cast<std::size_t>(c.parts[0].from)].name;
    const std::string to = c.points[static_cast<std::size_t>(c.parts[0].to)].name;
    const auto volts = read_probe(c, "V: " + from + " / " + to);
    REQUIRE(volts);
    CHECK(volts->probe.red == c.parts[0].from);
    CHECK(volts->probe.black == c.parts[0].to);
    const auto ground = read_probe(c, "V:" + to);
    REQUIRE(ground);
    CHECK(ground->probe.black == c.ground);
    CHECK_FALSE(read_probe(c, "W: " + from));
}

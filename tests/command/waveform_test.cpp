// lostvolts waveform: its table, its JSON, beside a circuit, and as readings.
#include <doctest/doctest.h>

#include <cmath>
#include <fstream>
#include <numbers>
#include <sstream>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "tests/command/folder.h"
#include "viewer/command/command.h"
#include "viewer/command/style.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;
using Json = nlohmann::json;

namespace {

const std::string sprayer = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml";

/// A start in closed form: 0.7 ms of rise, then from 24 A to 9 A within 50 ms; 12.6 V behind 40 mΩ; 8 bars in
/// 18 ms, one of them low. From 0.1 s on, at 20 kS/s.
std::string capture(const std::string& header = "time (s),volts (V),amps (A)") {
    std::string text = header + "\n";
    for (int k = 0; k < 20000; ++k) {
        const double t = 5e-5 * k, since = t - 0.1, turn = std::fmod(since / 0.018, 1.0);
        const double bars =
            0.15 * std::cos(16 * std::numbers::pi * turn) - (turn > 0.25 && turn < 0.375 ? 0.3 : 0);
        const double settled = 9 + 15 * std::exp(-since / 0.05) + bars;
        const double amps = since < 0 ? 0 : settled * (1 - std::exp(-since / 0.7e-3));
        text += fmt::format("{:.5f},{:.5f},{:.5f}\n", t, 12.6 - 0.04 * amps, amps);
    }
    return text;
}

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

} // namespace

TEST_CASE("waveform answers with the keys that others rely on") {
    // Expected: DESIGN, "Commands", waveform; values from the closed form that the capture is made with.
    const Folder folder;
    const Answer a = run({"waveform", folder.write("start.csv", capture()), "--json"});
    REQUIRE_MESSAGE(a.code == exit_done, a.err);
    const Json j = Json::parse(a.out);
    for (const char* key :
         {"samples", "duration_s", "start_s", "peak_current_A", "peak_s", "run_current_A", "run_voltage_V",
          "resting_voltage_V", "sag_V", "revolution_s", "speed_rpm", "bars", "uneven_bars", "bounces",
          "upstream_ohm", "downstream_ohm", "motor", "clamp", "cautions"})
        CHECK_MESSAGE(j.contains(key), key);
    for (const char* key :
         {"resistance_ohm", "constant_V_s", "inductance_H", "inertia_kg_m2", "time_constant_s"})
        CHECK_MESSAGE(j["motor"].contains(key), key);
    CHECK(j["samples"] == 20000);
    CHECK(j["start_s"].get<double>() == doctest::Approx(0.1).epsilon(0.002));
    CHECK(j["resting_voltage_V"].get<double>() == doctest::Approx(12.6).epsilon(1e-4));
    CHECK(j["run_current_A"].get<double>() == doctest::Approx(8.96).epsilon(0.005));
    CHECK(j["upstream_ohm"]["value"].get<double>() == doctest::Approx(0.04).epsilon(0.02));
    CHECK(j["upstream_ohm"]["low"].get<double>() < 0.04);
    CHECK(j["upstream_ohm"]["high"].get<double>() > 0.04);
    CHECK(j["speed_rpm"].get<double>() == doctest::Approx(60 / 0.018).epsilon(0.005));
    CHECK(j["bars"] == 8);
    CHECK(j["uneven_bars"].size() == 1);
    CHECK(j["clamp"]["reversed"] == false);
}

TEST_CASE("what waveform can't know is null and the reason stands beside") {
    // Expected, by hand: without a volts column nothing about volts or ohms is known.
    const Folder folder;
    const std::string file = folder.write("start.csv", capture("time (s),unused,amps (A)"));
    const Json j = Json::parse(run({"waveform", file, "--json"}).out);
    for (const char* key : {"resting_voltage_V", "sag_V", "upstream_ohm", "downstream_ohm"}) {
        CHECK(j[key].is_null());
        CHECK(j["unknown"][key] == "the capture has no volts");
    }
    const Answer table = run({"waveform", file});
    // The reason is given once, at the first row that it is for.
    CHECK(has(table.out, "resting volts  not known: the capture has no volts\n"));
    CHECK(has(table.out, "source to probe      not known: see resting volts\n"));
}

TEST_CASE("waveform's table fits forty columns") {
    // Expected: the narrowest screen that command.h promises; the first line is the file's name.
    const Folder folder;
    const Answer a = run({"waveform", folder.write("s.csv", capture()), "--circuit", sprayer},
                         {.colour = false, .columns = 40});
    REQUIRE_MESSAGE(a.code == exit_done, a.err);
    std::istringstream lines(a.out);
    std::string line;
    std::getline(lines, line);
    while (std::getline(lines, line)) CHECK_MESSAGE(width_of(line) <= 40, line);
}

TEST_CASE("a capture beside its circuit is compared and made readings that locate takes") {
    // Expected: circuit of the orchard sprayer, whose plate says 9 A, 24 A and 3400 rpm; the capture is near
    // all three.
    const Folder folder;
    const std::string file = folder.write("start.csv", capture()), readings = folder.path("readings.toml");
    const std::vector<std::string> words{"waveform",  file,      "--circuit", sprayer,      "--red",
                                         "battery +", "--black", "battery -", "--readings", readings};
    const Answer first = run(words);
    REQUIRE_MESSAGE(first.code == exit_done, first.err);
    CHECK(has(first.out, "run current"));
    CHECK(has(first.out, "agrees"));
    const Answer located = run({"locate", readings, "--json"});
    REQUIRE_MESSAGE(located.code == exit_done, located.err);
    CHECK(Json::parse(located.out)["readings"].size() == 5);

    // A second capture adds its readings, and the meters stand once.
    REQUIRE(run(words).code == exit_done);
    std::ifstream in(readings);
    const std::string text{std::istreambuf_iterator<char>(in), {}};
    const auto count = [&](std::string_view part) {
        int n = 0;
        for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++n;
        return n;
    };
    CHECK(count("[[reading]]") == 10);
    CHECK(count("name = \"capture, clamp\"") == 1);
}

TEST_CASE("waveform refuses what can't be right, each with what to do") {
    // Expected, by hand: messages and exit code of DESIGN.
    const Folder folder;
    const std::string file = folder.write("start.csv", capture()), bad = folder.write("bad.csv", "hello\n");
    const auto refused = [&](std::vector<std::string> words, std::string_view part) {
        words.insert(words.begin(), "waveform");
        const Answer a = run(words);
        CHECK(a.code == exit_bad_input);
        CHECK_MESSAGE(has(a.err, part), a.err);
    };
    refused({folder.path("none.csv")}, "there is no such file");
    refused({bad}, "bad.csv:1:1: has no row of numbers with at least two columns");
    refused({file, "--start", "2"}, "has 1 start, so there is no start 2");
    refused({file, "--readings", folder.path("r.toml")}, "add  --circuit circuit.toml");
    refused({file, "--circuit", sprayer, "--red", "battery"}, "there is no point \"battery\"");
    refused({file, "--circuit", sprayer, "--red", "battery +"}, "say both --red and --black");
    refused({file, "--circuit", sprayer, "--motor", "rinse pomp"}, "did you mean \"rinse pump\"?");
    refused({file, "--circuit", sprayer, "--readings", sprayer}, " is what it reads, and would be lost");
    refused({file, "--circuit", sprayer, "--readings", folder.write("other.toml", "[[part]]\n")},
            "is a circuit, not readings");
    refused({file, "--clamp", "10"}, "--clamp \"10\" is no clamp's scale");
}

TEST_CASE("strict tells of an uneven bar by the exit code") {
    // Expected: exit codes of DESIGN; the capture has one low bar.
    const Folder folder;
    CHECK(run({"waveform", folder.write("start.csv", capture()), "--strict"}).code == exit_finding);
}

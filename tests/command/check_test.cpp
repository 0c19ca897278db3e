#include <doctest/doctest.h>

#include "tests/command/folder.h"
#include "tests/command/sample.h"
#include "viewer/command/json.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

std::string replaced(std::string_view text, std::string_view from, std::string_view to) {
    std::string out(text);
    const std::size_t at = out.find(from);
    REQUIRE(at != std::string::npos);
    return out.replace(at, from.size(), to);
}

bool folder_has(const Folder& folder, const std::string& name) {
    return std::filesystem::exists(folder.path(name));
}

const Screen wide{.columns = 120};

} // namespace

TEST_CASE("a right circuit and right readings are said to be right") {
    // Expected: counted by hand in sample.cpp.
    const Folder folder;
    const std::string circuit = folder.write("circuit.toml", pump_circuit);
    const std::string readings = folder.write("readings.toml", pump_readings);
    const Answer a = run({"check", circuit, readings}, wide);
    CHECK(a.code == exit_done);
    CHECK(a.err == "");
    CHECK(a.out.starts_with(circuit + ": right. 6 parts, 6 points, 2 states, 1 condition\n"));
    CHECK(has(a.out, readings + ": right. 2 readings, 0 meters, on " + circuit + "\n"));
}

TEST_CASE("all mistakes of all files are told at once and counted") {
    // Expected, by hand: a unit is missing and a kind is misspelt in one file; a state in the other.
    const Folder folder;
    const std::string circuit =
        folder.write("circuit.toml", replaced(replaced(pump_circuit, "emf = \"12.6 V\"", "emf = \"12.6\""),
                                              "kind = \"fuse\"", "kind = \"fuze\""));
    folder.write("good.toml", pump_circuit);
    const std::string readings =
        folder.write("readings.toml", replaced(replaced(pump_readings, "circuit.toml", "good.toml"),
                                               "state = \"run\"", "state = \"rnu\""));
    const Answer a = run({"check", circuit, readings});
    CHECK(a.code == exit_bad_input);
    CHECK(a.out.empty());
    CHECK(has(a.err, circuit + ":10:"));
    CHECK(has(a.err, circuit + ":22:"));
    CHECK(has(a.err, readings + ":4:"));
    CHECK(a.err.ends_with("3 mistakes in 2 files\n"));
}

TEST_CASE("a circuit's mistake is told once though its readings name it too") {
    // Expected, by hand.
    const Folder folder;
    const std::string circuit =
        folder.write("circuit.toml", replaced(pump_circuit, "emf = \"12.6 V\"", "emf = \"12.6\""));
    const std::string readings = folder.write("readings.toml", pump_readings);
    const Answer a = run({"check", circuit, readings});
    CHECK(a.code == exit_bad_input);
    CHECK(a.err.ends_with("1 mistake in 1 file\n"));
}

TEST_CASE("check's JSON has a row for each file with its problems and remarks") {
    // Expected: the brief's keys; line and column by hand.
    const Folder folder;
    const std::string good = folder.write("good.toml", pump_circuit);
    const std::string bad =
        folder.write("bad.toml", replaced(pump_circuit, "emf = \"12.6 V\"", "emf = \"12.6\""));
    const Answer a = run({"check", "--json", good, bad, folder.path("none.toml")});
    CHECK(a.code == exit_bad_input);
    CHECK(a.err ==
          run({"check", good, bad, folder.path("none.toml")}).err); // for people, as from every command
    const Json j = Json::parse(a.out);
    REQUIRE(j["files"].size() == 3);
    CHECK(j["files"][0]["file"] == good);
    CHECK(j["files"][0]["kind"] == "circuit");
    CHECK(j["files"][0]["ok"] == true);
    CHECK(j["files"][0]["problems"].empty());
    CHECK(j["files"][0]["remarks"].is_array());
    CHECK(j["files"][1]["ok"] == false);
    const Json& problem = j["files"][1]["problems"][0];
    CHECK(problem["line"] == 10);
    CHECK(problem["column"].is_number_integer());
    CHECK(problem["what"].is_string());
    CHECK(problem["write"].is_string());
    CHECK(j["files"][2]["ok"] == false);
    CHECK(j["files"][2]["kind"].is_null());
    CHECK(j["files"][2]["problems"][0]["line"].is_null());
}

TEST_CASE("readings without their circuit are still known as readings") {
    // Expected, by hand: there is a [[reading]] and no [[part]].
    const Folder folder;
    const std::string file =
        folder.write("readings.toml", replaced(pump_readings, "circuit = \"circuit.toml\"\n", ""));
    const Json j = Json::parse(run({"check", "--json", file}).out);
    CHECK(j["files"][0]["kind"] == "readings");
    CHECK(j["files"][0]["ok"] == false);
}

TEST_CASE("a study's order is known for one and checked with its circuits") {
    // Expected, by hand: two lengths; then a misspelt study, a part that is not there, and a circuit's own
    // mistake.
    const Folder folder;
    folder.write("circuit.toml", pump_circuit);
    const std::string order = "format = 1\nstudy = \"tolerances\"\ncircuits = [\"circuit.toml\"]\n"
                              "output = \"table.csv\"\nsamples = 50\n"
                              "[[vary]]\npart = \"feed\"\nkey = \"length\"\nvalues = [\"4 m\", \"8 m\"]\n";
    const std::string right = folder.write("order.toml", order);
    const Answer a = run({"check", right}, wide);
    CHECK(a.err == "");
    CHECK(a.code == exit_done);
    CHECK(a.out.starts_with(
        right + ": right. a study of tolerances, 2 cases: 2 variants of 1 circuit, each drawn 50"));
    CHECK(Json::parse(run({"check", right, "--json"}).out)["files"][0]["kind"] == "study");

    const std::string wrong = folder.write(
        "wrong.toml", replaced(replaced(order, "\"tolerances\"", "\"tolerance\""), "\"feed\"", "\"feet\""));
    const Answer b = run({"check", wrong});
    CHECK(b.code == exit_bad_input);
    CHECK(has(b.err, wrong + ":2:10: "));
    CHECK(has(b.err, wrong + ":7:9: "));
    CHECK(has(b.err, "2 mistakes in 1 file\n"));
    CHECK(!folder_has(folder, "table.csv"));
}

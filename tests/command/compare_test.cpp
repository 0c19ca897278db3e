#include <doctest/doctest.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "solver/circuit/read.h"
#include "tests/command/folder.h"
#include "tests/command/sample.h"
#include "viewer/command/compare_picture.h"
#include "viewer/command/json.h"
#include "viewer/command/style.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

const std::string orchard = LOSTVOLTS_SOURCE "/circuits/orchard_sprayer/circuit.toml";

std::string content(const std::string& path) {
    std::ifstream in(path);
    std::stringstream text;
    text << in.rdbuf();
    return text.str();
}

} // namespace

TEST_CASE("compare's JSON agrees with predict's") {
    // Expected: predict with the same condition and state.
    const Answer compared = run({"compare", orchard, "--json"});
    REQUIRE(compared.code == exit_done);
    const Json j = Json::parse(compared.out);
    CHECK(j["load"] == "rinse pump");
    CHECK(j["conditions"].size() == 7);
    for (const Json& condition : j["conditions"]) {
        const std::string name = condition["name"];
        CAPTURE(name);
        std::vector<std::string> words{"predict", orchard, "--json"};
        if (name != "healthy") words.insert(words.end(), {"--condition", name});
        const Json states = Json::parse(run(words).out)["states"];
        for (const Json& state : states) {
            const Json& motor = state["motors"][0];
            if (state["name"] == "run") {
                CHECK(condition["run_current_A"].get<double>() ==
                      doctest::Approx(motor["current_A"].get<double>()));
                CHECK(condition["speed_rpm"].get<double>() ==
                      doctest::Approx(motor["speed_rpm"].get<double>()));
                CHECK(condition["lost_V"].get<double>() ==
                      doctest::Approx(state["loads"][0]["lost_V"].get<double>()));
            }
            if (state["name"] == "stall")
                CHECK(condition["stall_current_A"].get<double>() ==
                      doctest::Approx(motor["current_A"].get<double>()));
        }
        CHECK_FALSE(condition["why"].empty());
        CHECK(condition["apart_by"].is_object());
    }
    CHECK(j["cautions"].size() > 3);
}

TEST_CASE("compare fits any screen from 40 columns on") {
    // Expected: no line is wider than the screen (command.h).
    for (const char* scenario : {"orchard_sprayer", "radiator_fan", "trailer_lamps"})
        for (const int columns : {40, 60, 80, 120}) {
            CAPTURE(columns);
            Screen screen;
            screen.columns = columns;
            const Answer a = run(
                {"compare", LOSTVOLTS_SOURCE "/circuits/" + std::string(scenario) + "/circuit.toml"}, screen);
            CHECK(a.code == exit_done);
            std::istringstream lines(a.out);
            for (std::string line; std::getline(lines, line);) {
                CAPTURE(line);
                CHECK(width_of(line) <= columns);
            }
        }
}

TEST_CASE("a sweep's CSV has a row a step and numbers that read back") {
    // Expected: 5 steps are 6 rows; the first is the healthy circuit, whose run current JSON has too.
    const Folder folder;
    const std::string csv = folder.path("sweep.csv");
    const Answer a = run({"compare", orchard, "--sweep", "pump ground: 0 to 500 mohm", "--steps", "5",
                          "--csv", csv, "--json"});
    REQUIRE(a.code == exit_done);
    const Json j = Json::parse(a.out);
    REQUIRE(j["sweep"]["rows"].size() == 6);
    CHECK(j["sweep"]["rows"][0]["run_current_A"].get<double>() ==
          doctest::Approx(j["conditions"][0]["run_current_A"].get<double>()).epsilon(1e-5));
    CHECK(j["sweep"]["misleads"].is_object());
    std::istringstream lines(content(csv));
    std::string line;
    std::getline(lines, line);
    CHECK(line == "size_ohm,run_current_A,stall_current_A,speed_rpm,across_V,lost_V,fault_power_W");
    std::getline(lines, line);
    int rows = 1;
    for (; std::getline(lines, line);) ++rows;
    CHECK(rows == 6);
    CHECK(std::stod(line.empty() ? "0.5" : line) == 0.5);
}

TEST_CASE("compare without conditions shows typical faults and says so") {
    // Expected: the heater loop has none of its own; its parts can be open, corroded, flat.
    const Folder folder;
    const std::string file = folder.write("heater.toml", heater_circuit);
    const Answer a = run({"compare", file, "--table"});
    CHECK(a.code == exit_done);
    CHECK(a.out.find("typical faults of its loop") != std::string::npos);
    CHECK(a.out.find("return: high resistance") != std::string::npos);
    CHECK(a.out.find("heater: open") != std::string::npos);
}

TEST_CASE("compare refuses what the circuit does not have") {
    // Expected: all mistakes at once, exit code 2.
    const Answer a =
        run({"compare", orchard, "--load", "rinse pumps", "--state", "runs", "--sweep", "pump: 0 to 1"});
    CHECK(a.code == exit_bad_input);
    CHECK(a.err.find("there is no part \"rinse pumps\"") != std::string::npos);
    CHECK(a.err.find("there is no state \"runs\"") != std::string::npos);
    CHECK(a.err.find("there is no part \"pump\"") != std::string::npos);
}

TEST_CASE("compare's pictures say what its tables say") {
    // Expected: the words of the figures: every condition's name, and where the clamp begins to tell.
    const auto circuit = read_circuit(orchard);
    REQUIRE(circuit);
    const auto stand = put_on_stand(*circuit);
    REQUIRE(stand);
    const auto all = signatures(*stand, circuit->conditions);
    const auto apart_by = tellings(*stand, all);
    const auto says = [](const Figure& figure, std::string_view part) {
        return std::any_of(figure.shapes.begin(), figure.shapes.end(), [&](const Shape& shape) {
            const auto* words = std::get_if<Words>(&shape);
            return words && words->text.find(part) != std::string::npos;
        });
    };
    const Figure table = compare_picture({*stand, all, apart_by, false});
    for (const char* part : {"flat battery", "17.21 A", "1.414 V across pump ground"})
        CHECK(says(table, part));
    const auto request = read_sweep(*circuit, "pump ground: 0 to 500 mohm");
    REQUIRE(request);
    const auto swept = sweep(*stand, *request);
    REQUIRE(swept);
    CHECK(says(sweep_picture(*stand, *swept), "the clamp begins to tell"));
}

TEST_CASE("compare writes its picture and refuses another ending") {
    // Expected: an SVG; exit code 2 for what is no picture.
    const Folder folder;
    const std::string table = folder.path("table.svg");
    CHECK(run({"compare", orchard, "--picture", table}).code == exit_done);
    CHECK(content(table).find("<svg") != std::string::npos);
    CHECK(run({"compare", orchard, "--picture", folder.path("table.doc")}).code == exit_bad_input);
}

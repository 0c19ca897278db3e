#include <doctest/doctest.h>

#include <cmath>
#include <sstream>

#include "tests/command/folder.h"
#include "tests/command/sample.h"
#include "viewer/command/json.h"
#include "viewer/command/style.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

struct Job {
    Folder folder;
    std::string circuit = folder.write("circuit.toml", pump_circuit);
    std::string readings = folder.write("readings.toml", pump_readings);
};

} // namespace

TEST_CASE("locate finds the corroded ground from two readings") {
    // Expected: pump_readings holds what predict gives for the condition "corroded ground", 180 mohm.
    const Job job;
    const Answer a = run({"locate", job.readings, "--json"});
    REQUIRE(a.code == exit_done);
    CHECK(a.err == "");
    const Json j = Json::parse(a.out);
    const Json& first = j["suspects"][0]["faults"][0];
    CHECK(first["part"] == "pump ground");
    CHECK(first["kind"] == "high resistance");
    CHECK(first["low"].get<double>() <= 0.18);
    CHECK(first["high"].get<double>() >= 0.18);
    double total = 0;
    for (const Json& s : j["suspects"]) total += s["probability"].get<double>();
    CHECK(total == doctest::Approx(1).epsilon(1e-9));
    CHECK(j["readings"].size() == 2);
    CHECK(j["repaired"].size() == 2); // two states
    CHECK(j["next"].is_array());
    CHECK(!j["cautions"].empty());
}

TEST_CASE("locate tells a person the same in words and within the screen") {
    // Expected: the sections of locate_text.h.
    const Job job;
    for (const int columns : {40, 80}) {
        const Answer a = run({"locate", job.readings}, {.columns = columns});
        REQUIRE(a.code == exit_done);
        CHECK(has(a.out, "\"pump ground\""));
        CHECK(has(a.out, "Before you touch the machine"));
        CHECK(!has(a.out, "\x1b"));
        std::istringstream lines(a.out);
        for (std::string line; std::getline(lines, line);) CHECK_MESSAGE(width_of(line) <= columns, line);
    }
}

TEST_CASE("strict tells of anything but a healthy circuit by the exit code") {
    // Expected: exit codes of DESIGN.
    const Job job;
    CHECK(run({"locate", job.readings, "--strict"}).code == exit_finding);
    CHECK(run({"locate", job.readings, "--strict", "--json"}).code == exit_finding);
}

TEST_CASE("a circuit is refused by locate with what to write") {
    // Expected, by hand: message pinned word for word.
    const Job job;
    const Answer a = run({"locate", job.circuit});
    CHECK(a.code == exit_bad_input);
    CHECK(a.err == job.circuit + ": this is a circuit; locate takes readings taken on one\n"
                                 "  write a file of readings that begins with  circuit = \"circuit.toml\"\n");
    const Answer json = run({"locate", job.circuit, "--json"});
    CHECK(json.err == a.err);
    CHECK(Json::parse(json.out)["problems"].size() == 1);
}

TEST_CASE("readings that are not there are bad input") {
    // Expected: exit codes of DESIGN.
    const Folder folder;
    const Answer a = run({"locate", folder.path("none.toml")});
    CHECK(a.code == exit_bad_input);
    CHECK(a.out.empty());
    CHECK(has(a.err, folder.path("none.toml")));
}

#include <doctest/doctest.h>

#include "solver/circuit/toml_file.h"
#include "solver/locate/readings.h"
#include "tests/command/folder.h"
#include "tests/command/sample.h"
#include "viewer/command/json.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

const Screen wide{.columns = 120};

/// A folder with the pump's circuit, where readings are noted.
struct Bench {
    Folder folder;
    std::string circuit = folder.write("circuit.toml", pump_circuit), readings = folder.path("readings.toml");

    Answer note(std::vector<std::string> words, const Screen& screen = wide) const {
        words.insert(words.begin(), {"note", readings});
        return run(words, screen);
    }
    Readings job() const {
        auto read = read_readings(readings);
        REQUIRE(read);
        return *std::move(read);
    }
    std::string text() const { return *read_text_file(readings); }
};

} // namespace

TEST_CASE("the first reading begins the file, and the next are added to it") {
    // Expected, by hand: the words' plain meaning; the state stays until another is named.
    const Bench bench;
    CHECK(bench.note({"--circuit", bench.circuit, "11.9", "V", "battery", "+", "in", "run"}).code ==
          exit_done);
    const Answer a = bench.note({"--circuit", bench.circuit, "6.1 A pump"}); // its circuit may be named again
    CHECK(a.code == exit_done);
    CHECK(a.out == bench.readings + ": 1 noted, 2 in all\n  2. run: current through \"bilge pump\": 6.1 A\n" +
                       "Next: lostvolts locate " + bench.readings + "\n");
    const Readings job = bench.job();
    REQUIRE(job.readings.size() == 2);
    CHECK(job.readings[0].quantity == Measurand::voltage);
    CHECK(job.readings[0].black == job.circuit.ground);
    CHECK(job.readings[0].value == 11.9);
    CHECK(job.readings[1].quantity == Measurand::current);
    CHECK(job.readings[1].state == job.readings[0].state);
}

TEST_CASE("what stands in the file already stays as it is, to the byte") {
    const Bench bench;
    const std::string before =
        "# by hand\ncircuit = 'circuit.toml'   # beside\n\n[[meter]]\nname = \"clamp\"\n"
        "accuracy = \"2 %\"\n\n[[reading]]\nstate = \"run\"\nquantity = \"current\"\n"
        "through = \"bilge pump\"\nvalue = \"6.1 A\"\nmeter = \"clamp\"\n";
    bench.folder.write("readings.toml", before);
    CHECK(bench.note({"6.2 A pump", "--remark", "warm"}).code == exit_done);
    CHECK(bench.text().starts_with(before));
    const Readings job = bench.job();
    REQUIRE(job.readings.size() == 2);
    CHECK(job.readings[1].meter == 0); // the last one for amperes
    CHECK(job.readings[1].note == "warm");
}

TEST_CASE("a line is read in whatever order a person wrote its value, place and state") {
    // Expected, by hand: the words' plain meaning; each line is the same reading.
    const Bench bench;
    REQUIRE(bench.note({"--circuit", bench.circuit, "6.1 A pump"}).code == exit_done);
    const std::vector<std::string> same{
        "11.9 V: battery + to pump +, off", " 11.9  V,\tbattery + to pump +  in off",
        "battery + to pump + 11.9 V, off",  "battery + to pump +: 11.9 V in off",
        "battery+ to pump+, off: 11.9V",    "off: battery + to pump + 11.9 V",
        "off, 11.9 V, battery + to pump +"};
    for (const std::string& line : same) {
        CAPTURE(line);
        const Answer a = bench.note({line});
        CHECK_MESSAGE(a.code == exit_done, a.err);
        const Readings job = bench.job();
        const Reading& r = job.readings.back();
        CHECK(r.quantity == Measurand::voltage);
        CHECK(r.text.starts_with("11.9"));
        CHECK(r.value == 11.9);
        CHECK(r.red == find_point(job.circuit, "battery +"));
        CHECK(r.black == find_point(job.circuit, "pump +"));
        CHECK(r.state == find_state(job.circuit, "off"));
    }
    CHECK(bench.job().readings.size() == 1 + same.size());
    CHECK(bench.note({"battery + to pump +: dim"}).code == exit_done);
    CHECK(bench.job().readings.back().quantity == Measurand::lamp);
    // Of two values none is taken.
    CHECK(bench.note({"battery + 11.9 V pump 6.1 A"}).code == exit_bad_input);
}

TEST_CASE("a page of a notebook is noted whole or not at all") {
    const Bench bench;
    const std::string page =
        bench.folder.write("notes.txt", "12.5 V battery +   # tired?\n\n# under load\n6.1 A pump in run\n");
    CHECK(bench.note({"--circuit", bench.circuit, "--notebook", page}).code == exit_done);
    CHECK(bench.job().readings.size() == 2);
    CHECK(bench.job().readings[0].note == "tired?");
    const std::string before = bench.text();
    const std::string wrong =
        bench.folder.write("wrong.txt", "12.5 V battery +\n6.1 A pump grund\nbattery + 12\n");
    const Answer a = bench.note({"--notebook", wrong});
    CHECK(a.code == exit_bad_input);
    CHECK(a.err == wrong + R"(:2:1: there is no part "pump grund"
    6.1 A pump grund
    ^^^^^^^^^^^^^^^^
  did you mean "pump ground"?
)" + wrong + R"(:3:1: one value with its unit is needed, and where it was read
    battery + 12
    ^^^^^^^^^^^^
  for example:  0.068 V battery + to relay 87 in run
2 mistakes in 1 file
)");
    CHECK(bench.text() == before);
}

TEST_CASE("a reading that can't be understood is told why, and the file stays") {
    // Expected: the messages word for word.
    const Bench bench;
    CHECK(bench.note({"12 V battery +"}).err ==
          "there is no " + bench.readings +
              " yet, so a circuit is needed\n  say which, once:  lostvolts note " + bench.readings +
              " --circuit circuit.toml …\n");
    CHECK(bench.note({"--circuit", bench.circuit, "12 V battery +"}).code == exit_done);
    const std::string before = bench.text();
    const auto told = [&](std::vector<std::string> words) {
        const Answer a = bench.note(std::move(words));
        CHECK(a.code == exit_bad_input);
        CHECK(bench.text() == before);
        return a.err;
    };
    CHECK(told({"6,1 A pump"}) ==
          "\"6,1 A pump\": the value has a decimal comma\n  write 6.1 A, with a point\n");
    CHECK(told({"12 V pump +x"}) ==
          "\"12 V pump +x\": there is no point \"pump +x\"\n  did you mean \"pump +\"?\n");
    CHECK(told({"--notebook", bench.circuit, "--remark", "warm"}) ==
          "--remark is for one reading, and a notebook may have many\n  write it in the notebook, behind the "
          "reading and a #\n");
    CHECK(told({}) == "what was read?\n  write it after the file:  0.068 V battery + to relay 87 in run\n");
    CHECK(told({"0.2 vlots battery + to pump +"}) ==
          "\"0.2 vlots battery + to pump +\": \"0.2 vlots\" is no value\n  did you mean \"0.2 volts\"?\n");
    const std::string other = bench.circuit + ".other";
    CHECK(told({"--circuit", other, "12 V battery +"}) ==
          bench.readings + " are readings of " + bench.circuit + ", not of " + other +
              "\n  leave --circuit out, or give the new readings a file of their own\n");
    CHECK(told({"12 V battery +", "--meter", "none such"}).find("there is no meter \"none such\"") !=
          std::string::npos);
    const Answer onto_circuit = run({"note", bench.circuit, "12 V battery +"}, wide);
    CHECK(onto_circuit.code == exit_bad_input);
    CHECK(onto_circuit.err.find("is a circuit, not readings") != std::string::npos);
    CHECK(*read_text_file(bench.circuit) == pump_circuit);
}

TEST_CASE("a reading is noted as JSON with the names that it was completed to") {
    const Bench bench;
    const Answer a = bench.note({"--circuit", bench.circuit, "0.2 V BATTERY+ to pump + in run", "--json"});
    const Json json = Json::parse(a.out);
    CHECK(json["readings"] == 1);
    const Json& one = json["noted"][0];
    CHECK(one["red"] == "battery +");
    CHECK(one["black"] == "pump +");
    CHECK(one["value"] == "0.2 V");
    CHECK(one["through"].is_null());
}

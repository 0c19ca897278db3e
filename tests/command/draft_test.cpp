#include <sstream>

#include <doctest/doctest.h>

#include "solver/circuit/read.h"
#include "solver/circuit/toml_file.h"
#include "tests/command/folder.h"
#include "viewer/command/command.h"
#include "viewer/command/json.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

namespace {

constexpr std::string_view walk = "battery 12 V 100 mohm\nfuse 10 A to box\nlamp bow light 12 V 10 W\n";
const Screen wide{.columns = 120};

} // namespace

TEST_CASE("draft shows the circuit's file, and another command reads it") {
    const Folder folder;
    const Answer a = run({"draft", folder.write("walk.txt", walk)}, wide);
    CHECK(a.code == exit_done);
    CHECK(a.err == "");
    const auto circuit = read_circuit_text(a.out, "circuit.toml");
    REQUIRE(circuit);
    CHECK(circuit->name == "walk");
    CHECK(run({"predict", folder.write("circuit.toml", a.out)}, wide).code == exit_done);
}

TEST_CASE("draft makes a new file and says what is in it") {
    const Folder folder;
    const std::string file = folder.path("boat.toml");
    const Answer a = run({"draft", folder.write("walk.txt", walk), "-o", file}, wide);
    CHECK(a.code == exit_done);
    CHECK(a.out == file + R"(: walk, 3 parts between 3 points

  part       kind     from       to
  battery    battery  battery -  battery +
  fuse       fuse     battery +  box
  bow light  lamp     box        battery -

States
  run

Next
  lostvolts predict )" +
                       file + "\n  lostvolts view " + file + ", to note readings at the machine\n");
    CHECK(run({"check", file}, wide).code == exit_done);
}

TEST_CASE("draft replaces no file, whatever its name, and no link") {
    const Folder folder;
    const std::string from = folder.write("walk.txt", walk), kept = folder.write("kept.txt", "mine\n");
    std::filesystem::create_symlink("nowhere", folder.path("link.toml"));
    for (const std::string& to : {kept, folder.path("link.toml"), from}) {
        const Answer a = run({"draft", from, "-o", to}, wide);
        CHECK(a.code == exit_bad_input);
        CHECK(a.out == "");
        CHECK(a.err.find("lost") != std::string::npos);
    }
    CHECK(run({"draft", from, "-o", "-"}, wide).err ==
          "draft: --output is written as a file, and \"-\" would be its name\n  give it another name\n");
    CHECK_FALSE(std::filesystem::exists("-"));
    CHECK(*read_text_file(kept) == "mine\n");
    CHECK(*read_text_file(from) == walk);
    CHECK_FALSE(std::filesystem::exists(folder.path("nowhere")));
}

TEST_CASE("a walk that is wrong makes no file, and its mistakes are told as people and programs read them") {
    const Folder folder;
    const std::string from = folder.write("walk.txt", "battery 12 V\nearth\nlamp 12 V 5 W to\n");
    const Answer a = run({"draft", from, "-o", folder.path("boat.toml"), "--json"}, wide);
    CHECK(a.code == exit_bad_input);
    CHECK(a.err.ends_with("2 mistakes in 1 file\n"));
    CHECK(Json::parse(a.out)["problems"].size() == 2);
    CHECK_FALSE(std::filesystem::exists(folder.path("boat.toml")));
}

TEST_CASE("a walk that is given to another command is told to be one") {
    const Folder folder;
    const std::string file = folder.write("walk.txt", "# a boat\n\nname Boat\n" + std::string(walk));
    for (const char* command : {"check", "predict", "locate", "size"}) {
        const Answer a = run({command, file}, wide);
        CHECK(a.code == exit_bad_input);
        CHECK(a.err.starts_with(
            file + ": this is a walk along the wires, no circuit's file yet\n  write  lostvolts draft " +
            file + " -o circuit.toml\n"));
    }
    // A circuit that has lost its quotes is none.
    const std::string broken = folder.write("broken.toml", "format = 1\nname = boat\n");
    CHECK(run({"predict", broken}, wide).err.find("walk") == std::string::npos);
}

TEST_CASE("draft answers as JSON with the file in it") {
    const Folder folder;
    const Answer a = run({"draft", folder.write("walk.txt", walk), "--json"}, wide);
    const Json json = Json::parse(a.out);
    CHECK(json["file"].is_null());
    CHECK(json["parts"] == 3);
    CHECK(json["states"] == Json::array({"run"}));
    CHECK(read_circuit_text(json["toml"].get<std::string>(), "circuit.toml"));
}

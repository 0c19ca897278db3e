// A walk along the wires: what is made of each line, the points' names, and every message word for word.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

#include <doctest/doctest.h>

#include "solver/circuit/read.h"
#include "solver/circuit/walk.h"
#include "solver/circuit/walk_kinds.h"
#include "solver/parts/all.h"

using namespace lostvolts;

namespace {

WalkedCircuit walked(std::string_view walk) {
    auto circuit = circuit_of_walk(walk, "walk.txt", "Bench");
    for (const Problem& p : circuit.problems()) FAIL_CHECK(describe(p));
    REQUIRE(circuit);
    return *std::move(circuit);
}

std::string told(std::string_view walk) {
    const auto circuit = circuit_of_walk(walk, "walk.txt", "Bench");
    CHECK_FALSE(static_cast<bool>(circuit));
    std::string text;
    for (const Problem& p : circuit.problems()) text += describe(p) + "\n";
    return text;
}

const Part& part(const Circuit& c, std::string_view name) {
    const auto at =
        std::find_if(c.parts.begin(), c.parts.end(), [&](const Part& p) { return p.name == name; });
    REQUIRE_MESSAGE(at != c.parts.end(), "no part ", name);
    return *at;
}

std::string ends(const Circuit& c, std::string_view name) {
    const Part& p = part(c, name);
    const auto point = [&](PointId id) { return c.points[static_cast<std::size_t>(id)].name; };
    return point(p.from) + " -> " + point(p.to);
}

constexpr std::string_view trailer = R"(name Grain trailer, tarp winch
battery 12.6 V 9 mohm
wire main feed 16 mm2 0.5 m
fuse 40 A to fuse box, 2 min, under the lid, two clips
relay winch relay 85 ohm 4 mohm   # the coil is the larger one
wire 6 mm2 9 m
motor tarp winch 12 V 90 A 22 A 2800 rpm
ground to chassis
wire 25 mm2 6 m
from fuse box
lamp work lamp 12 V 55 W to chassis
)";

} // namespace

TEST_CASE("each part of a walk lies between the one before it and the one after") {
    // Expected: by hand, from the rules for points' names that DEVELOPERS.md has.
    const WalkedCircuit w = walked(trailer);
    CHECK(w.circuit.name == "Grain trailer, tarp winch");
    CHECK(ends(w.circuit, "battery") == "battery - -> battery +");
    CHECK(ends(w.circuit, "main feed") == "battery + -> main feed / fuse");
    CHECK(ends(w.circuit, "fuse") == "main feed / fuse -> fuse box");
    CHECK(ends(w.circuit, "winch relay") == "fuse box -> winch relay 87");
    CHECK(ends(w.circuit, "wire 1") == "winch relay 87 -> tarp winch +");
    CHECK(ends(w.circuit, "tarp winch") == "tarp winch + -> tarp winch -");
    CHECK(ends(w.circuit, "ground") == "tarp winch - -> chassis");
    CHECK(ends(w.circuit, "wire 2") == "chassis -> battery -");
    CHECK(ends(w.circuit, "work lamp") == "fuse box -> chassis");
    CHECK(w.circuit.points[static_cast<std::size_t>(w.circuit.ground)].name == "battery -");
}

TEST_CASE("a value is known by its unit, and of two of one sort by which is larger") {
    const WalkedCircuit w = walked(trailer);
    const auto& motor = std::get<Motor<>>(part(w.circuit, "tarp winch").law);
    CHECK(si(motor.settings.run_current) == 22);
    CHECK(si(motor.winding) == doctest::Approx(12.0 / 90).epsilon(1e-12)); // stalled: V / I
    const auto& relay = std::get<Relay<>>(part(w.circuit, "winch relay").law);
    CHECK(si(relay.coil) == 85);
    CHECK(si(relay.contact) == doctest::Approx(4e-3).epsilon(1e-12));
    CHECK(si(std::get<Fuse<>>(part(w.circuit, "fuse").law).settings.rating) == 40);
    const auto box = std::find_if(w.circuit.points.begin(), w.circuit.points.end(),
                                  [](const Point& p) { return p.name == "fuse box"; });
    REQUIRE(box != w.circuit.points.end());
    CHECK(si(box->access) == 120);
    CHECK(box->note == "under the lid, two clips");
}

TEST_CASE("the file has each value as it was typed, and reads back as the same circuit") {
    const WalkedCircuit w = walked(trailer);
    for (const char* typed :
         {"size = \"16 mm2\"", "run_current = \"22 A\"", "access = \"2 min\"", "rating = \"40 A\""})
        CHECK_MESSAGE(w.toml.find(typed) != std::string::npos, typed);
    const auto again = read_circuit_text(w.toml, "circuit.toml");
    REQUIRE(again);
    CHECK(again->parts.size() == w.circuit.parts.size());
    CHECK(again->points.size() == w.circuit.points.size());
}

TEST_CASE("a value may have as many words as people give it") {
    // Expected, by hand: the SI brochure's names of units, and "sq mm" as cables' drums have it.
    const WalkedCircuit w =
        walked("battery 12.6 Volts, 9 milliohms\nwire feed 2.5 sq mm 3 metres to box, 2 minutes\n"
               "lamp 12 V 21 Watts\n");
    const auto& wire = std::get<Wire<>>(part(w.circuit, "feed").law);
    CHECK(si(wire.settings.size.area) == doctest::Approx(2.5e-6).epsilon(1e-12));
    CHECK(w.toml.find("length = \"3 metres\"") != std::string::npos);
    CHECK(w.toml.find("access = \"2 minutes\"") != std::string::npos);
}

TEST_CASE("the values of a line come in any order") {
    // Expected: symmetry. Every order of four values is the same file.
    std::vector<std::string> values{"12 V", "22 A", "90 A", "2800 rpm"};
    std::sort(values.begin(), values.end());
    std::string first;
    int orders = 0;
    do {
        std::string line = "motor winch";
        for (const std::string& value : values) line += " " + value;
        const std::string toml = walked("battery 12.6 V\n" + line + "\n").toml;
        if (first.empty()) first = toml;
        CHECK(toml == first);
        ++orders;
    } while (std::next_permutation(values.begin(), values.end()));
    CHECK(orders == 24);
}

TEST_CASE("commas between the words of a line are a matter of taste, and stay within a name") {
    // Expected, by hand: the same file as without them.
    constexpr std::string_view plain = "battery 12.6 V 9 mohm\nwire feed 4 mm2 3 m to pump +\n"
                                       "motor bilge pump 12 V 9 A 24 A 3400 rpm\n";
    CHECK(walked("battery, 12.6 V, 9 mohm,\nwire feed, 4 mm2 , 3 m, to pump +\n"
                 "motor \"bilge pump\", 12 V,9 A, 24 A, 3400 rpm\n")
              .toml == walked(plain).toml);
    CHECK(
        walked("name Workboat, bilge\nbattery, 12.6 V\nlamp aft, port, 12 V, 21 W\n").circuit.parts[1].name ==
        "aft, port");
    CHECK(walked("name Workboat, bilge\nbattery, 12.6 V\nlamp 12 V, 21 W\n").circuit.name ==
          "Workboat, bilge");
    CHECK(told("battery 12,6 V, 9 mohm\nlamp 12 V 21 W\n").find("has a comma for its decimal point") !=
          std::string::npos);
}

TEST_CASE("what was not told of a relay is guessed, and said to be a guess") {
    const WalkedCircuit w = walked("battery 25.2 V\nfuse 10 A to box\nrelay\nlamp 24 V 70 W\n");
    const auto& relay = std::get<Relay<>>(part(w.circuit, "relay").law);
    CHECK(si(relay.coil) == 340);
    CHECK(si(relay.settings.pull_in) == 14.4); // 60 % of 24 V: [REL]
    CHECK(ends(w.circuit, "relay switch") == "box -> relay 86");
    CHECK(ends(w.circuit, "relay coil ground") == "relay 85 -> battery -");
    REQUIRE(w.guesses.size() == 3);
    CHECK(w.guesses[0] == "relay \"relay\": a coil of 340 ohm");
    CHECK(w.guesses[1] == "relay \"relay\": pulls in at 14.4 V");
    // Two batteries in series: the lamp tells the volts. A coil that was told is no guess, its pull-in is.
    const WalkedCircuit two = walked("battery 12.6 V\nbattery 12.6 V\nrelay 300 ohm\nlamp 24 V 70 W\n");
    CHECK(si(std::get<Relay<>>(part(two.circuit, "relay").law).settings.pull_in) == 14.4);
    CHECK(two.guesses.front() == "relay \"relay\": pulls in at 14.4 V");
    CHECK(ends(two.circuit, "battery 2") == "battery 1 + -> battery 2 +");
    CHECK(walked("battery 12.6 V\nlamp 12 V 5 W\n").guesses.empty());
}

TEST_CASE("a line can be written of every kind of part") {
    // Expected: the kinds that a circuit's file knows; each example is a line that can be read.
    for (const std::string& kind : part_kinds()) {
        const WalkedKind* walked_kind = find_walked_kind(kind);
        REQUIRE_MESSAGE(walked_kind, "add ", kind, " to walk_kinds.cpp");
        std::string walk(walked_kind->example);
        if (kind != "battery") walk.insert(0, "battery 12.6 V\n");
        walked(walk + "\nlamp bow light 12 V 5 W\n");
    }
}

TEST_CASE("a walk has the states that people measure in") {
    const WalkedCircuit w = walked(trailer);
    std::vector<std::string> names;
    for (const State& s : w.circuit.states) names.push_back(s.name);
    CHECK(names == std::vector<std::string>{"run", "stall", "bridged", "relay out"});
    const WalkedCircuit two =
        walked("battery 12.6 V\nfuse 10 A to box\nrelay a 85 ohm\nlamp 12 V 5 W\nfrom box\n"
               "relay b 85 ohm\nlamp 12 V 5 W\n");
    names.clear();
    for (const State& s : two.circuit.states) names.push_back(s.name);
    CHECK(names == std::vector<std::string>{"run", "a bridged", "a out", "b bridged", "b out"});
}

TEST_CASE("names that are already there are not taken twice") {
    // Two unnamed lamps, one named as the second would be, and a point named as a lamp's end would be.
    const WalkedCircuit w = walked(
        "battery 12.6 V to lamp 1 +\nlamp 12 V 5 W to lamp 2\nfrom lamp 1 +\nlamp \"lamp 2\" 12 V 5 W\n"
        "from lamp 1 +\nfuse 3 A\nlamp 12 V 5 W\nfrom lamp 2\nresistor 1 ohm\n");
    CHECK(ends(w.circuit, "lamp 1") == "lamp 1 + -> lamp 2");
    CHECK(ends(w.circuit, "lamp 3") == "lamp 3 + -> battery -");
    CHECK(ends(w.circuit, "resistor") == "lamp 2 -> battery -");
}

TEST_CASE("each broken walk gets exactly the messages that stand beside it") {
    // Expected, by reading: the .said beside each .txt, judged as a technician would.
    const std::filesystem::path folder = std::filesystem::path(LOSTVOLTS_SOURCE) / "tests/circuit/walks";
    const auto content = [](const std::filesystem::path& path) {
        std::ifstream in(path, std::ios::binary);
        std::ostringstream text;
        text << in.rdbuf();
        return text.str();
    };
    int walks = 0;
    for (const auto& entry : std::filesystem::directory_iterator(folder)) {
        if (entry.path().extension() != ".txt") continue;
        CAPTURE(entry.path().filename().string());
        CHECK(told(content(entry.path())) ==
              content(std::filesystem::path(entry.path()).replace_extension(".said")));
        ++walks;
    }
    CHECK(walks >= 7);
}

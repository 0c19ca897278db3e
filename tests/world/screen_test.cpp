// What is shown where: a terminal of 40 columns, another country's numbers, no display, no type.
#include <doctest/doctest.h>

#include <sstream>

#include "solver/units/code_points.h"
#include "tests/world/yard.h"
#include "viewer/command/command.h"

using namespace lostvolts;
using namespace lostvolts::world_tests;

namespace fs = std::filesystem;

TEST_CASE("forty columns are enough for every table and every answer") {
    // Expected: no line of an answer is longer, counted in code points.
    Screen narrow;
    narrow.columns = 40;
    using Words = std::vector<std::string>;
    std::vector<Words> asked{{"--help"}, {"records", "add", "--help"}, {"size", "--help"}};
    const fs::path circuits = fs::path(LOSTVOLTS_SOURCE) / "circuits";
    for (const char* name : {"glasshouse_winch", "orchard_sprayer", "radiator_fan", "snow_plough_spinner",
                             "trailer_lamps", "workboat_bilge"}) {
        const std::string circuit = circuits / name / "circuit.toml",
                          readings = circuits / name / "readings.toml";
        for (const char* command : {"predict", "compare", "inrush"}) asked.push_back({command, circuit});
        asked.push_back({"check", circuit, readings});
        asked.push_back({"size", circuit, "--no-starts", "--study", "50"});
        asked.push_back({"locate", readings});
    }
    asked.push_back(
        {"compare", circuits / "orchard_sprayer" / "circuit.toml", "--sweep", "pump ground: 0 to 500 mohm"});
    for (const Words& words : asked) {
        const Answer answer = lostvolts::run(words, narrow);
        CAPTURE(words.front());
        CHECK(answer.code == 0);
        std::istringstream lines(answer.out);
        for (std::string line; std::getline(lines, line);) {
            CAPTURE(line);
            CHECK(code_points(line).size() <= 40);
        }
    }
}

TEST_CASE("numbers have a point whatever country the person is in, and an unknown one is no trouble") {
    // Expected: to the last byte what the C locale gives. de_DE has a decimal comma.
    const Yard yard;
    record_start(yard);
    const std::string made = yard.path("de_DE.UTF-8").string();
    const bool comma =
        std::system(("localedef -i de_DE -f UTF-8 '" + made + "' >/dev/null 2>&1").c_str()) == 0;
    if (!comma) MESSAGE("no German locale could be made: only an unknown one is tried");
    using Words = std::vector<std::string>;
    for (const Words& words : {Words{"predict", "circuit.toml", "--json"}, Words{"locate", "readings.toml"},
                               Words{"waveform", "start.csv"}, Words{"size", "circuit.toml", "--no-starts"},
                               Words{"inrush", "circuit.toml", "--csv", "out.csv"},
                               Words{"view", "readings.toml", "--picture", "out.svg"}}) {
        CAPTURE(words.front());
        const std::string file = words.size() > 3 ? words.back() : std::string("circuit.toml");
        const Ended usual = yard.run(words, {.set = {"LC_ALL=C"}});
        const std::string written = yard.read(file);
        REQUIRE(usual.code == 0);
        for (const std::string locale : {"xx_YY", "de_DE.UTF-8"}) {
            const Ended there = yard.run(
                words, {.set = {"LC_ALL=" + locale, "LANG=" + locale, "LOCPATH=" + yard.path("").string()}});
            CHECK(there.code == 0);
            CHECK(there.out == usual.out);
            CHECK(yard.read(file) == written);
        }
    }
}

TEST_CASE("without a display the window says so and what to do, and a picture needs none") {
    // Expected: DESIGN, exit 3: it can't be done here; --picture writes without a display.
    const Yard yard;
    const std::vector<std::string> display{"DISPLAY"};
    const Ended picture = yard.run({"view", "circuit.toml", "--picture", "p.png"}, {.unset = display});
    CHECK(picture.code == 0);
    if (!fs::exists(fs::path(LOSTVOLTS_PROGRAM).parent_path() / "lostvolts-window")) {
        MESSAGE("SKIPPED: the window is not built");
        return;
    }
    const std::string said = "there is no display to open a window on\n"
                             "  write  lostvolts view FILE --picture OUT.png  for a picture without one\n";
    for (const Ended& ended : {yard.run({"view", "circuit.toml"}, {.unset = display}),
                               yard.run({"view", "circuit.toml"}, {.set = {"DISPLAY="}}),
                               yard.run({"view", "circuit.toml"}, {.set = {"DISPLAY=nonsense"}})}) {
        CHECK(ended.code == 3);
        CHECK(ended.err == said);
    }
}

TEST_CASE("a picture is refused on a machine that has no letters for its units") {
    // Expected: "180 m" and a box is no resistance. An empty configuration hides every type from Cairo.
    const Yard yard;
    yard.write("fonts.conf",
               "<?xml version=\"1.0\"?><!DOCTYPE fontconfig SYSTEM \"fonts.dtd\"><fontconfig/>\n");
    const Surroundings bare{.set = {"FONTCONFIG_FILE=" + yard.path("fonts.conf").string()}};
    for (const char* picture : {"p.png", "p.svg", "p.pdf"}) {
        const Ended ended = yard.run({"view", "circuit.toml", "--picture", picture}, bare);
        CHECK(ended.code == 2);
        CHECK(ended.err ==
              std::string(picture) +
                  ": the picture can't be drawn: no type on this machine has the letters of its units\n"
                  "  as root: apt-get install fonts-dejavu-core\n");
        CHECK(!yard.has(picture));
    }
    CHECK(yard.run({"report", "readings.toml", "-o", "r.pdf"}, bare).code == 2);
    CHECK(yard.run({"locate", "readings.toml"}, bare).code == 0);
}

TEST_CASE("without HOME and a temporary folder nothing but the usual store is missing") {
    // Expected: only what needs to know where jobs are kept asks for --store.
    const Yard yard;
    const Surroundings bare{.set = {"TMPDIR=/nowhere"},
                            .unset = {"HOME", "XDG_DATA_HOME", "LOSTVOLTS_RECORDS"}};
    CHECK(yard.run({"predict", "circuit.toml"}, bare).code == 0);
    CHECK(yard.run({"report", "readings.toml", "-o", "r.pdf"}, bare).code == 0);
    const Ended find = yard.run({"records", "find"}, bare);
    CHECK(find.code == 2);
    CHECK(find.err == "it is not known where jobs are kept\n  say so with  --store FOLDER\n");
}

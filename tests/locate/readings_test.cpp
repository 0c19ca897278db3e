// Readings as people write them, and every message about wrong ones.
#include <filesystem>
#include <fstream>
#include <sstream>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/locate/readings.h"

using namespace lostvolts;
namespace fs = std::filesystem;

namespace {

const fs::path gallery = fs::path(LOSTVOLTS_SOURCE) / "tests/locate/broken";

std::string content(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

/// Messages with the files named as they stand in the gallery.
std::string described(const Problems& problems) {
    std::string text;
    for (Problem problem : problems) {
        problem.file = fs::path(problem.file).filename().string();
        if (!text.empty()) text += "\n";
        text.append(describe(problem)).append("\n");
    }
    return text;
}

Result<Readings> with_readings(const std::string& text) {
    auto circuit = read_circuit(gallery / "circuit.toml");
    REQUIRE(static_cast<bool>(circuit));
    return read_readings_text(text, "readings.toml", *circuit);
}

double resolution_of(std::string_view quantity, std::string_view value, std::string_view more = "") {
    const bool two = quantity == "voltage" || quantity == "resistance";
    const auto r = with_readings(fmt::format(
        "[[meter]]\nname = \"clamp\"\nresolution = \"0.5 A\"\n[[reading]]\nstate = \"run\"\nquantity = "
        "\"{}\"\n{}\nvalue = \"{}\"\n{}\n",
        quantity, two ? "red = \"battery +\"\nblack = \"lift -\"" : "through = \"lift motor\"", value, more));
    REQUIRE(static_cast<bool>(r));
    return r->readings[0].resolution;
}

} // namespace

TEST_CASE("each broken file of readings gets exactly the messages that stand beside it") {
    // Expected, by reading: the .txt beside each file, judged as a technician would.
    for (const char* name : {"readings", "no_circuit", "both"}) {
        CAPTURE(name);
        const auto readings = read_readings(gallery / fmt::format("{}.toml", name));
        CHECK_FALSE(static_cast<bool>(readings));
        CHECK(described(readings.problems()) == content(gallery / fmt::format("{}.txt", name)));
    }
}

TEST_CASE("readings are read with their leads, units, meter and state") {
    // Expected, by hand, from the text.
    const auto r = with_readings(R"([[meter]]
name = "multimeter"
accuracy = "0.5 % + 2 counts"
resolution = "0.01 V"
input = "10 Mohm"
[[reading]]
state = "run"
quantity = "voltage"
red = "battery +"
black = "lift +"
value = "184 mV"
meter = "multimeter"
note = "wiggled"
disturbed = "lift ground"
[[reading]]
state = "out"
quantity = "sound"
through = "lift motor"
value = "silent"
[[reading]]
state = "run"
quantity = "lamp"
red = "lift +"
black = "lift -"
value = "dim"
)");
    REQUIRE(static_cast<bool>(r));
    REQUIRE(r->readings.size() == 3);
    const Reading& volts = r->readings[0];
    CHECK(volts.value == 0.184);
    CHECK(volts.resolution == 0.01);
    CHECK(volts.meter == 0);
    CHECK(volts.red == find_point(r->circuit, "battery +"));
    CHECK(volts.black == find_point(r->circuit, "lift +"));
    CHECK(volts.disturbed == find_part(r->circuit, "lift ground"));
    CHECK(volts.text == "184 mV");
    CHECK(r->meters[0].accuracy.share == 0.005);
    CHECK(r->readings[1].state == 1);
    CHECK(r->readings[1].value == 1);
    CHECK(r->readings[2].value == 1);
    CHECK(words_of(Measurand::lamp)[1] == "dim");
    CHECK(words_of(Measurand::voltage).empty());
}

TEST_CASE("a reading's resolution is its meter's or one unit of the last digit as written") {
    // Expected, by hand: the value of a 1 in the last place.
    CHECK(resolution_of("voltage", "1.84 V") == 0.01);
    CHECK(resolution_of("voltage", "-1.840 V") == 0.001);
    CHECK(resolution_of("voltage", "12 V") == 1);
    CHECK(resolution_of("voltage", "250 mV") == 0.001);
    CHECK(resolution_of("voltage", "0.250 V") == 0.001);
    CHECK(resolution_of("voltage", "1.25e1 V") == doctest::Approx(0.1));
    CHECK(resolution_of("current", "6.1 A") == 0.1);
    CHECK(resolution_of("current", "6.1 A", "meter = \"clamp\"") == 0.5);
    CHECK(resolution_of("voltage", "1.84 V", "meter = \"clamp\"") == 0.01); // the clamp's is in amps
    CHECK(resolution_of("resistance", "0.8 ohm") == 0.1);
    CHECK(resolution_of("speed", "2950 rpm") == doctest::Approx(0.104719755));
}

// A readings file changed by one reading at a time.
#include <doctest/doctest.h>

#include "solver/locate/write_readings.h"

using namespace lostvolts;

namespace {

const std::string text = "# Tuesday, by the shed\ncircuit = \"circuit.toml\"\n\n[[reading]] # first\n"
                         "state = \"run\"\nquantity = \"voltage\"\nred = \"battery +\"   # clip\n"
                         "black = \"frame\"\nvalue   = '12.4 V' # steady\n\n# gloves on\n[[reading]]\n"
                         "state = \"run\"\nquantity = \"current\"\nthrough = \"pump\"\nvalue = \"6.1 A\"\n";

} // namespace

TEST_CASE("a reading is added below all else, with the keys that it has") {
    // Expected, by hand.
    WrittenReading r;
    r.state = "run";
    r.quantity = "voltage";
    r.red = "pump +";
    r.black = "frame";
    r.value = "1.84 V";
    CHECK(add_reading(text, r) ==
          text + "\n[[reading]]\nstate = \"run\"\nquantity = \"voltage\"\nred = \"pump +\"\n"
                 "black = \"frame\"\nvalue = \"1.84 V\"\n");
}

TEST_CASE("a changed value leaves every other byte as it was") {
    // Expected, by hand: the characters between the quotes and the quotes themselves.
    std::string expected = text;
    expected.replace(expected.find("'12.4 V'"), 8, "\"12.6 V\"");
    const auto changed = change_value(text, 0, "12.6 V", "readings.toml");
    REQUIRE(static_cast<bool>(changed));
    CHECK(*changed == expected);
}

TEST_CASE("a reading taken out goes with its lines and the comments of others stay") {
    // Expected, by hand: the comment above the second reading stays with the file.
    const auto left = take_out_reading(text, 0, "readings.toml");
    REQUIRE(static_cast<bool>(left));
    CHECK(left->find("12.4") == std::string::npos);
    CHECK(left->find("# gloves on\n[[reading]]\nstate = \"run\"\nquantity = \"current\"") !=
          std::string::npos);
    CHECK(left->starts_with("# Tuesday, by the shed\ncircuit = \"circuit.toml\"\n"));
}

TEST_CASE("a reading that is not there is named by its number") {
    // Expected, by hand.
    const auto changed = change_value(text, 2, "1 V", "readings.toml");
    REQUIRE_FALSE(static_cast<bool>(changed));
    CHECK(changed.problems().front().what == "there is no reading number 3 to change");
    CHECK(take_out_reading(text, 2, "readings.toml").problems().front().what ==
          "there is no reading number 3 to remove");
}

TEST_CASE("a new file of readings begins with its circuit") {
    // Expected, by hand.
    CHECK(first_lines("circuit.toml") == "circuit = \"circuit.toml\"\n");
}

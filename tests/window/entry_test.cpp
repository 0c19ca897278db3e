// The sentence that a reading is typed into.
#include <doctest/doctest.h>

#include "tests/window/job.h"
#include "viewer/window/entry.h"

using namespace lostvolts;
using namespace lostvolts::window_tests;

namespace {

Readings job() {
    const Job files;
    auto read = read_readings(files.readings);
    REQUIRE(static_cast<bool>(read));
    return *std::move(read);
}

TypedReading volts_between(std::string red, std::string black, std::string value) {
    TypedReading t;
    t.red = std::move(red);
    t.black = std::move(black);
    t.value = std::move(value);
    return t;
}

} // namespace

TEST_CASE("typed letters are completed to the only name they can mean") {
    // Expected, by hand, of the names battery +, battery -, pump +, pump -, switch in.
    const std::vector<std::string> names = {"battery +", "battery -", "pump +", "pump -", "switch in"};
    CHECK(completed("sw", names) == "switch in");
    CHECK(completed("PUMP+", names) == "pump +");
    CHECK(completed("y-", names) == "battery -");
    CHECK_FALSE(completed("pump", names));
    CHECK_FALSE(completed("", names));
    CHECK(candidates("p", names, 9) == std::vector<std::string>{"pump +", "pump -"});
}

TEST_CASE("a bare number is taken in the unit of its quantity") {
    // Expected, by hand.
    const auto got = understand(job(), volts_between("pump+", "battery-", " 1.84 "));
    CHECK(got.problems.empty());
    CHECK(got.reading.red == "pump +");
    CHECK(got.reading.value == "1.84 V");
    CHECK(got.reading.quantity == "voltage");
    CHECK(got.reading.state == "run");
}

TEST_CASE("the unit of the value tells the quantity") {
    // Expected, by hand.
    TypedReading t = volts_between("pump+", "pump-", "6.1 A");
    t.through = "pu";
    const auto got = understand(job(), t);
    REQUIRE(got.problems.size() == 1); // "pump" and "pump ground" begin so
    CHECK(got.problems[0].key == "through");
    t.through = "pump";
    CHECK(understand(job(), t).problems.empty());
    CHECK(understand(job(), t).reading.through == "pump");
    CHECK(understand(job(), t).reading.red.empty());
}

TEST_CASE("a meter that shows no path is typed as open") {
    // Expected: as the file of readings has it.
    const auto got = understand(job(), volts_between("pump+", "pump-", " open "));
    CHECK(got.problems.empty());
    CHECK(got.reading.quantity == "resistance");
    CHECK(got.reading.value == "open");
}

TEST_CASE("each field says what is wrong with it") {
    // Expected, by hand.
    const auto got = understand(job(), volts_between("pump", "", "1,84 V"));
    REQUIRE(got.problems.size() == 3);
    CHECK(got.problems[0].what == "several points fit");
    CHECK(got.problems[0].write == "pump + or pump -?");
    CHECK(got.problems[1].what == "which point?");
    CHECK(got.problems[2].key == "value");
    CHECK(understand(job(), volts_between("pump+", "pump+", "1 V")).problems[0].what ==
          "both leads are on one point");
    CHECK(understand(job(), volts_between("pmp +", "pump-", "1 V")).problems[0].write ==
          "did you mean \"pump +\"?");
}

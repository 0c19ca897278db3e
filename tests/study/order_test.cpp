// What is wrong with an order, each mistake with its place.
#include "solver/study/order.h"

#include <doctest/doctest.h>

#include <cmath>

#include "solver/study/cases.h"
#include "solver/study/variant.h"
#include "tests/study/study_folder.h"

using namespace lostvolts;
using namespace lostvolts::study_tests;

namespace {

/// "line:column: what" of every problem, a line each.
std::string mistakes(const StudyFolder& folder, std::string_view order) {
    const auto read = read_order(folder.write("order.toml", order));
    if (read) return "";
    std::string all;
    for (const Problem& p : read.problems())
        all += std::to_string(p.place.line) + ":" + std::to_string(p.place.column) + ": " + p.what + '\n';
    return all;
}

} // namespace

TEST_CASE("the variants of an order are every combination, the last value going round fastest") {
    // Expected, by hand: 3 × 8 variants.
    const StudyFolder folder;
    const auto order = read_order(folder.write("order.toml", heater_order));
    REQUIRE(order);
    CHECK(count_cases(*order) == 24);
    CHECK(count_blocks(*order) == 3);
    CHECK(values_of(*order, 0) == std::vector<std::string>{"40 mohm", "1 ohm"});
    CHECK(values_of(*order, 9) == std::vector<std::string>{"80 mohm", "2 ohm"});
    CHECK(values_of(*order, 23) == std::vector<std::string>{"120 mohm", "8 ohm"});
    CHECK(order->output == folder.path("table.csv"));
}

TEST_CASE("a stretch is drawn from evenly, by seed and number alone") {
    // Expected: of 4000 even draws the mean is off by less than 4·(range/√12)/√4000 = 1.8 % of the range, and
    // each quarter has a quarter of them within 4·√(4000·3/16) = 110.
    const StudyFolder folder;
    const auto order = read_order(folder.write("order.toml", R"(format = 1
study = "tolerances"
circuits = ["heater.toml"]
output = "table.csv"
variants = 4000
seed = 11
[[vary]]
part = "lead"
key = "resistance"
from = "40 mohm"
to = "80 mohm"
)"));
    REQUIRE(order);
    double sum = 0;
    int quarters[4]{};
    for (long n = 0; n < 4000; ++n) {
        const double value = std::stod(values_of(*order, n).front());
        REQUIRE(value > 40);
        REQUIRE(value < 80);
        sum += value;
        ++quarters[static_cast<int>((value - 40) / 10)];
    }
    CHECK(std::abs(sum / 4000 - 60) < 0.018 * 40);
    for (const int quarter : quarters) CHECK(std::abs(quarter - 1000) < 110);
    CHECK(values_of(*order, 1234) == values_of(*order, 1234));
    CHECK(values_of(*order, 1) != values_of(*order, 2));
}

TEST_CASE("every mistake of an order is told with its line and column") {
    // Expected, by hand.
    const StudyFolder folder;
    CHECK(mistakes(folder, R"(format = 1
study = "tolerances"
circuits = ["heater.toml", "cooler.toml"]
output = "nowhere/table.csv"
samples = 0
machines = 3
colour = "red"
[[vary]]
part = "laed"
key = "resistance"
values = ["40 mohm"]
[[vary]]
part = "lead"
key = "resistance"
values = ["40 mohm", "80 mhom", 3]
[[vary]]
part = "lead"
key = "resistence"
values = ["1 ohm"]
[[vary]]
part = "lead"
key = "resistance"
from = "40 mohm"
to = "1 ohm"
)") == "3:29: study: circuit \"cooler.toml\": there is no such file\n"
       "4:11: study: output \"" +
              folder.path("nowhere") +
              "\": there is no such folder\n"
              "5:11: study: samples must be a whole number from 1 to 50000000\n"
              "6:1: study: machines has no place in a study of tolerances\n"
              "7:1: study: unknown key \"colour\"\n"
              "9:9: vary 1: " +
              folder.path("heater.toml") +
              " has no part \"laed\"\n"
              "15:23: vary 2: with \"80 mhom\", wire \"lead\": resistance has an unknown unit \"mhom\"\n"
              "15:33: vary 2: values has something in it that is not in quotes\n"
              "19:12: vary 3: with \"1 ohm\", wire \"lead\": unknown key \"resistence\"\n"
              "23:9: vary 4: a stretch is drawn from, and the study doesn't say how often\n"
              "24:7: vary 4: \"40 mohm\" and \"1 ohm\" are not in one unit\n");
    CHECK(mistakes(folder, "study = \"tolerance\"\n") ==
          "0:0: study: format is missing\n0:0: study: output is missing\n0:0: study: circuits is missing\n"
          "1:10: study: study can't be \"tolerance\"\n");
    CHECK(
        mistakes(folder,
                 "format = 1\nstudy = \"captures\"\noutput = \"t.csv\"\nfolder = \"none\"\nsamples = 3\n") ==
        "4:11: study: folder \"none\": No such file or directory\n"
        "5:1: study: samples has no place in a study of captures\n");
    CHECK(mistakes(folder, "format = 1\nstudy = \"faults\noutput = \"t.csv\"\n")
              .ends_with("2:9: the quotes round study are not closed\n"));
}

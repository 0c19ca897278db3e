#include <doctest/doctest.h>

#include "solver/units/result.h"

using namespace lostvolts;

TEST_CASE("a problem shows its place, its line with a caret, and what to write") {
    // Expected: HOUSE_STYLE section 4, word for word.
    const Problem problem{"circuits/rinse_pump/circuit.toml",
                          {14, 8, 1},
                          "wire \"feed\": area has no unit",
                          "write the unit in the value, for example  area = \"0.35 mm2\"",
                          "area = 0.35"};
    CHECK(describe(problem) == "circuits/rinse_pump/circuit.toml:14:8: wire \"feed\": area has no unit\n"
                               "    area = 0.35\n"
                               "           ^\n"
                               "  write the unit in the value, for example  area = \"0.35 mm2\"");
}

TEST_CASE("carets underline the width in code points and stop at the end of the line") {
    // Expected, by hand: column 5 is the omega, after the quotation mark, 2, 5 and a blank.
    CHECK(describe({"", {1, 5, 1}, "x", "", "\"25 Ω\""}) == "1:5: x\n    \"25 Ω\"\n        ^");
    CHECK(describe({"", {1, 5, 4}, "x", "", "a = 0.35"}) == "1:5: x\n    a = 0.35\n        ^^^^");
    CHECK(describe({"", {1, 5, 99}, "x", "", "a = 0.35"}) == "1:5: x\n    a = 0.35\n        ^^^^");
    CHECK(describe({"", {1, 5, 0}, "x", "", "a = 0.35"}) == "1:5: x\n    a = 0.35\n        ^");
}

TEST_CASE("a caret may stand just past the end of a line and never further") {
    // Expected, by hand: something is missing after "a =".
    CHECK(describe({"", {1, 4, 1}, "x", "", "a ="}) == "1:4: x\n    a =\n       ^");
    CHECK(describe({"", {1, 1000000000, 1}, "x", "", "a ="}) == "1:1000000000: x\n    a =\n       ^");
}

TEST_CASE("a tab before the caret stays a tab so that caret and fault line up on any terminal") {
    // Expected, by hand: two tabs, then the name in column 3.
    CHECK(describe({"", {2, 3, 1}, "x", "", "\t\tsize = 3"}) == "2:3: x\n    \t\tsize = 3\n    \t\t^");
}

TEST_CASE("what is absent from a problem leaves no trace in its description") {
    // Expected, by hand, from the meaning of 0 and of empty texts in result.h.
    CHECK(describe({"a.toml", {}, "is empty", "", ""}) == "a.toml: is empty");
    CHECK(describe({"a.toml", {7, 0, 1}, "is odd", "", "line"}) == "a.toml:7: is odd\n    line");
    CHECK(describe({"", {}, "is odd", "", ""}) == "is odd");
    CHECK(describe({"a.toml", {7, 2, 1}, "is odd", "try this", ""}) == "a.toml:7:2: is odd\n  try this");
}

TEST_CASE("every line of the advice is indented") {
    // Expected, by hand.
    CHECK(describe({"", {}, "x", "write\nsize = \"2.5 mm2\"", ""}) == "x\n  write\n  size = \"2.5 mm2\"");
}

TEST_CASE("a line end or a control character in the excerpt can't disturb a terminal") {
    // Expected, by hand: U+FFFD for the escape character, and no carriage return.
    CHECK(describe({"", {1, 1, 1}, "x", "", "\x1b[31m\r\n"}) == "1:1: x\n    \xEF\xBF\xBD[31m\n    ^");
}

TEST_CASE("the nearest known word is found within a third of the word's length") {
    // Expected, by hand: the number of edits is in each comment.
    const std::vector<std::string> known{"battery",    "wire", "fuse", "connector",
                                         "resistance", "mohm", "V",    "A"};
    CHECK(nearest("batery", known) == "battery");     // one insertion
    CHECK(nearest("wrie", known) == "wire");          // one swap of neighbours
    CHECK(nearest("conector", known) == "connector"); // one
    CHECK(nearest("resistnace", known) == "resistance");
    CHECK(nearest("mohn", known) == "mohm");
    CHECK(nearest("fuse", known) == "fuse"); // none
    CHECK_FALSE(nearest("fxxe", {"wire"}));  // three of four
    CHECK_FALSE(nearest("relay", known));
    CHECK_FALSE(nearest("", known));
    CHECK_FALSE(nearest("x", {}));
}

TEST_CASE("a third of the length is rounded up") {
    // Expected, by hand: of 4 letters 2 may differ, of 3 letters 1.
    CHECK(nearest("abcd", {"abxy"}) == "abxy");
    CHECK_FALSE(nearest("abc", {"axy"}));
}

TEST_CASE("letter case decides only between words that are equally near") {
    // Expected, by hand: "v" is V but for its case, and any other letter for one exchange.
    CHECK(nearest("v", {"A", "V"}) == "V");
    CHECK(nearest("MOHM", {"ohm", "mohm", "Mohm"}) == "Mohm");
    CHECK(nearest("mohm", {"Mohm", "mohm"}) == "mohm");
    CHECK(nearest("ab", {"ac", "ad"}) == "ac"); // the first of equals
}

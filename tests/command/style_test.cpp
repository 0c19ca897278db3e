#include "viewer/command/style.h"

#include <doctest/doctest.h>

using namespace lostvolts;

TEST_CASE("emphasis becomes escape codes with colour and nothing without") {
    // Expected: ECMA-48 select graphic rendition, 1 bold, 31 red, 0 reset.
    const std::string text = strong("run") + " is " + alarm("over");
    CHECK(finish(text, false) == "run is over");
    CHECK(finish(text, true) == "\x1b[1mrun\x1b[0m is \x1b[1;31mover\x1b[0m");
    CHECK(width_of(text) == 11);
}

TEST_CASE("a control character in a name reaches no terminal") {
    // Expected, by hand: escape, bell, delete, a C1 control sequence introducer and a right-to-left override
    // are each one U+FFFD; tab and newline stay.
    CHECK(finish("a\x1b[31mb\a\x7f", true) == "a\uFFFD[31mb\uFFFD\uFFFD");
    CHECK(finish("a\u009bb\u202Ec\td\n", false) == "a\uFFFDb\uFFFDc\td\n");
    CHECK(finish("Ω µ — ∞ °C", true) == "Ω µ — ∞ °C");
}

TEST_CASE("text wraps at spaces by code points") {
    // Expected, by hand: six columns hold "µµ µµµ" (six code points, eleven bytes) and no more.
    CHECK(wrapped("µµ µµµ µ", 6) == "µµ µµµ\nµ");
    CHECK(wrapped("one two three", 9, 2, 4) == "  one two\n    three");
    CHECK(wrapped("", 9) == "");
}

TEST_CASE("a word longer than the line is cut") {
    // Expected, by hand.
    CHECK(wrapped("abcdefgh", 3) == "abc\ndef\ngh");
    CHECK(wrapped("a bcdefgh", 3) == "a\nbcd\nefg\nh");
}

TEST_CASE("emphasis ends with its line and goes on with the next") {
    // Expected, by hand: so that the next column of a table keeps its own look.
    CHECK(finish(wrapped(alarm("one two"), 4), true) == "\x1b[1;31mone\x1b[0m\n\x1b[1;31mtwo\x1b[0m");
}

TEST_CASE("a number stays with its unit and a short name in one piece") {
    // Expected, by hand: each would otherwise break within twelve columns.
    CHECK(wrapped("between 205 mΩ).", 12) == "between\n205 mΩ).");
    CHECK(wrapped("black on \"pump +\".", 14) == "black on\n\"pump +\".");
    CHECK(wrapped("in \"a name of many words indeed\"", 12) == "in \"a name\nof many\nwords\nindeed\"");
}

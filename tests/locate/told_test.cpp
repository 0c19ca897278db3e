// Readings told in words: what an eye or an ear makes of a number.
#include <doctest/doctest.h>

#include <initializer_list>

#include "solver/locate/told.h"

using namespace lostvolts;

namespace {
enum { lit, dim, dark, reversed };
enum { runs, silent, clicks };
} // namespace

TEST_CASE("the words of each sense share out all that can be said") {
    // Conservation: something is said, whatever the number.
    for (const Sense sense : {Sense::lamp, Sense::polar_lamp, Sense::turning, Sense::click, Sense::no_path})
        for (const double number : {-1.2, -0.3, 0.0, 0.2, 0.5, 0.9, 1.0, 17.0}) {
            double sum = 0;
            for (int word = 0; word < 4; ++word) {
                const double chance = chance_of(sense, word, number, 0.01);
                CHECK(chance >= 0);
                sum += chance;
            }
            CHECK(sum == doctest::Approx(1).epsilon(1e-9));
        }
}

TEST_CASE("a lamp is lit at its volts, dim at half and dark at a tenth") {
    // Expected, by hand, from the borders in told.cpp: each lies two blurs or more from them.
    CHECK(chance_of(Sense::lamp, lit, 1.0, 0) > 0.97);
    CHECK(chance_of(Sense::lamp, dim, 0.5, 0) > 0.97);
    CHECK(chance_of(Sense::lamp, dark, 0.1, 0) > 0.97);
    CHECK(chance_of(Sense::lamp, lit, -1.0, 0) > 0.97); // a filament has no direction
}

TEST_CASE("only a tester that shows polarity says reversed") {
    // Expected, by hand.
    CHECK(chance_of(Sense::lamp, reversed, -1.0, 0) == 0);
    CHECK(chance_of(Sense::polar_lamp, reversed, -1.0, 0) > 0.97);
    CHECK(chance_of(Sense::polar_lamp, lit, -1.0, 0) < 1e-6);
}

TEST_CASE("tolerance blurs a word") {
    // Symmetry: with the number on the border both words are as likely, whatever the spread. Away from it,
    // spread makes the word less sure.
    CHECK(chance_of(Sense::lamp, lit, 0.8, 0.04) == doctest::Approx(0.5));
    CHECK(chance_of(Sense::lamp, lit, 1.0, 0.04) < chance_of(Sense::lamp, lit, 1.0, 0));
}

TEST_CASE("the likeliest word is the one a person would expect") {
    // Expected, by hand.
    CHECK(likeliest_word(Sense::lamp, 0.95, 0) == lit);
    CHECK(likeliest_word(Sense::polar_lamp, -0.95, 0) == reversed);
    CHECK(likeliest_word(Sense::turning, 0.0, 0) == silent);
    CHECK(likeliest_word(Sense::turning, 0.8, 0) == runs);
    CHECK(likeliest_word(Sense::click, 1, 0) == clicks);
    CHECK(likeliest_word(Sense::no_path, 20, 0) == 0); // ln of 500 Mohm
    CHECK(likeliest_word(Sense::no_path, 3, 0) == 1);
}

// Work that is given up on the word of whoever waits for it.
#include "solver/units/patience.h"

#include <doctest/doctest.h>

#include <thread>

using namespace lostvolts;

TEST_CASE("work goes on where nobody has said otherwise") {
    // Expected: the header's own words.
    CHECK_NOTHROW(give_up_if_told());
    const std::atomic<bool> told = false;
    const Patience until(told);
    CHECK_NOTHROW(give_up_if_told());
}

TEST_CASE("work is given up on its own thread alone and only while somebody minds") {
    // Expected: the header's own words; a patience inside another holds until it ends.
    const std::atomic<bool> told = true, not_told = false;
    {
        const Patience outer(told);
        CHECK_THROWS_AS(give_up_if_told(), GivenUp);
        {
            const Patience inner(not_told);
            CHECK_NOTHROW(give_up_if_told());
        }
        CHECK_THROWS_AS(give_up_if_told(), GivenUp);
        bool elsewhere = false;
        std::thread([&] {
            give_up_if_told();
            elsewhere = true;
        }).join();
        CHECK(elsewhere);
    }
    CHECK_NOTHROW(give_up_if_told());
}

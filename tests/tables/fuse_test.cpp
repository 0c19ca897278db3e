#include <doctest/doctest.h>

#include <cmath>
#include <initializer_list>

#include "solver/reference/tables.h"

using namespace lostvolts;

namespace {

FuseElement fuse(double amps) { return blade_fuse(from_si<Current<>>(amps)); }
double shortest(double multiple) { return si(blade_fuse_operating_time(multiple).shortest); }
double longest(double multiple) { return si(blade_fuse_operating_time(multiple).longest); }

} // namespace

TEST_CASE("blade fuses have their maker's cold resistance and drop") {
    // Expected: maker data sheets, typical (from memory). Equality but for the change of unit.
    struct Row {
        double amps, milliohms, millivolts;
    };
    for (const Row& row :
         {Row{1, 123, 176}, Row{2, 53.5, 141}, Row{3, 31.1, 137}, Row{5, 17.9, 128}, Row{7.5, 10.9, 116},
          Row{10, 7.7, 109}, Row{15, 4.8, 102}, Row{20, 3.4, 98}, Row{25, 2.5, 92}, Row{30, 2.0, 84}}) {
        INFO(row.amps << " A");
        CHECK(si(fuse(row.amps).cold) == doctest::Approx(row.milliohms / 1000).epsilon(1e-15));
        CHECK(si(fuse(row.amps).drop_at_rating) == doctest::Approx(row.millivolts / 1000).epsilon(1e-15));
    }
    CHECK(fuse(10).source == "maker data sheets, typical (from memory)");
}

TEST_CASE("a hot fuse at its rating drops more than its cold resistance would") {
    // Expected: a metal element's resistance rises with temperature; true of every rating, listed or not.
    for (double amps = 1; amps <= 40; amps += 0.5) {
        INFO(amps << " A");
        CHECK(si(fuse(amps).drop_at_rating) > amps * si(fuse(amps).cold));
    }
}

TEST_CASE("between and beyond the listed ratings a fuse follows a straight line in log-log") {
    // Expected, by hand: sqrt(10·20) A is halfway between rows 10 and 20 only if 15 weren't listed, so take
    // 10 and 15: at sqrt(150) A it is sqrt(7.7·4.8) mohm. At 36 A, 30·(30/25), another factor 2.0/2.5.
    CHECK(si(fuse(std::sqrt(150.0)).cold) == doctest::Approx(std::sqrt(7.7 * 4.8) / 1000).epsilon(1e-13));
    CHECK(si(fuse(36).cold) == doctest::Approx(2.0e-3 * 0.8).epsilon(1e-13));
    CHECK(si(fuse(36).drop_at_rating) == doctest::Approx(84e-3 * 84 / 92).epsilon(1e-13));
    CHECK(si(fuse(0.5).cold) == doctest::Approx(123e-3 * 123 / 53.5).epsilon(1e-13));
}

TEST_CASE("blade fuses open within the band of ISO 8820-3") {
    // Expected: ISO 8820-3, types C and F (from memory): 135, 160, 200, 350 and 600 % of the rating.
    struct Row {
        double multiple, least, most;
    };
    for (const Row& row : {Row{1.35, 0.75, 600}, Row{1.60, 0.25, 50}, Row{2.00, 0.15, 5},
                           Row{3.50, 0.04, 0.5}, Row{6.00, 0.02, 0.1}}) {
        INFO(row.multiple);
        CHECK(shortest(row.multiple) == row.least);
        CHECK(longest(row.multiple) == row.most);
    }
}

TEST_CASE("a blade fuse holds at 110 percent and may hold for ever below 135 percent") {
    // Expected: at least 100 h at 110 % (ISO 8820-3, from memory); no longest time is stated below 135 %.
    CHECK(std::isinf(shortest(0.5)));
    CHECK(std::isinf(shortest(1.10)));
    CHECK(std::isinf(longest(1.10)));
    CHECK(shortest(1.100001) == doctest::Approx(360000).epsilon(1e-3));
    CHECK(std::isinf(longest(1.34)));
    CHECK(std::isfinite(longest(1.35)));
}

TEST_CASE("more current never takes longer to open a fuse") {
    // Expected: monotony of both limits, and the shortest below the longest.
    for (double m = 1.11; m < 12; m *= 1.003) {
        INFO(m);
        CHECK(shortest(m * 1.003) < shortest(m));
        CHECK(longest(m * 1.003) <= longest(m));
        CHECK(shortest(m) < longest(m));
    }
}

TEST_CASE("above 600 percent a fuse lets a constant I squared t through") {
    // Expected: adiabatic melting, by hand: twice 600 % takes a quarter of its times.
    CHECK(shortest(12) == doctest::Approx(0.005).epsilon(1e-14));
    CHECK(longest(12) == doctest::Approx(0.025).epsilon(1e-14));
}

TEST_CASE("fuse times between rows are straight in log-log") {
    // Expected, by hand: halfway in log between 200 % and 350 %, the geometric means.
    const double middle = std::sqrt(2.0 * 3.5);
    CHECK(shortest(middle) == doctest::Approx(std::sqrt(0.15 * 0.04)).epsilon(1e-13));
    CHECK(longest(middle) == doctest::Approx(std::sqrt(5 * 0.5)).epsilon(1e-13));
}

TEST_CASE("ratings sold run from 1 to 40 amperes") {
    // Expected: ISO 8820-3 type C (from memory); ascending.
    const auto ratings = blade_fuse_ratings_amps();
    CHECK(ratings.front() == 1);
    CHECK(ratings.back() == 40);
    for (std::size_t k = 1; k < ratings.size(); ++k) CHECK(ratings[k] > ratings[k - 1]);
}

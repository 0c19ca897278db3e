#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "solver/lesson/looks.h"
#include "solver/lesson/telling.h"
#include "solver/lesson/why.h"
#include "tests/lesson/motor_loop.h"

using namespace lostvolts;
using namespace lostvolts::lesson_tests;

namespace {

std::size_t named(const std::vector<Signature>& all, std::string_view name) {
    for (std::size_t k = 0; k < all.size(); ++k)
        if (all[k].name == name) return k;
    FAIL("there is no such signature");
    return 0;
}

} // namespace

TEST_CASE("a bad ground looks like a bad feed and one voltage tells it from all its look-alikes") {
    // Expected, by hand: the same 180 mΩ in series wherever it stands gives the same speed and currents; only
    // a drop that takes in one place and not the other tells, and it does so by about 1.3 V.
    const Circuit circuit = bundled("orchard_sprayer");
    const Stand stand = stand_of(circuit);
    const auto all = signatures(stand, circuit.conditions);
    const auto apart_by = tellings(stand, all);
    const std::size_t ground = named(all, "corroded pump ground");
    const Telling& t = apart_by[ground];
    CHECK(t.alike);
    std::vector<std::string> others;
    for (const int o : t.others) {
        others.push_back(all[static_cast<std::size_t>(o)].name);
        CHECK(apart(stand, all[0], all[ground], all[static_cast<std::size_t>(o)]) < 1);
    }
    std::sort(others.begin(), others.end());
    CHECK(others == std::vector<std::string>{"burnt relay contact", "corroded feed pin", "worn brushes"});
    REQUIRE(t.reading);
    CHECK(t.reading->quantity == Measurand::voltage);
    for (const double there : t.there) CHECK(std::abs(t.here - there) > 1);
}

TEST_CASE("what a reading shows in either condition is what predict says") {
    // Expected: predict; the meter's 10 MΩ across volts is all that the two may differ by, 1e-4.
    for (const char* scenario : scenarios) {
        CAPTURE(scenario);
        const Circuit circuit = bundled(scenario);
        const Stand stand = stand_of(circuit);
        const auto all = signatures(stand, circuit.conditions);
        const auto apart_by = tellings(stand, all);
        int told = 0;
        Workspace work;
        for (std::size_t k = 0; k < all.size(); ++k) {
            const Telling& t = apart_by[k];
            CAPTURE(all[k].name);
            if (!t.reading || t.reading->quantity != Measurand::voltage) continue;
            ++told;
            std::vector<std::pair<std::size_t, double>> foretold{{k, t.here}};
            for (std::size_t o = 0; o < t.others.size(); ++o)
                foretold.emplace_back(static_cast<std::size_t>(t.others[o]), t.there[o]);
            for (const auto& [which, shown] : foretold) {
                const auto s = predict_state(stand.network, t.reading->state, all[which].faults, work);
                REQUIRE(s);
                if (!s->points[static_cast<std::size_t>(t.reading->red)] ||
                    !s->points[static_cast<std::size_t>(t.reading->black)])
                    continue; // one of them floats: the meter is the only path
                const double volts = si(volts_at(*s, t.reading->red) - volts_at(*s, t.reading->black));
                CHECK(shown == doctest::Approx(volts).epsilon(1e-4).scale(10));
            }
        }
        CHECK(told > 0);
    }
}

TEST_CASE("what a fault looks like is said in words made of its numbers") {
    // Expected: the README of each scenario: slow, dark, no click, racing.
    const auto look_of = [](const char* scenario, const char* condition) {
        const Circuit circuit = bundled(scenario);
        const Stand stand = stand_of(circuit);
        const auto all = signatures(stand, circuit.conditions);
        return looks(stand, all.front(), all[named(all, condition)]);
    };
    CHECK(look_of("orchard_sprayer", "healthy") == "at its usual speed");
    CHECK(look_of("orchard_sprayer", "corroded pump ground").starts_with("slow, at 9"));
    CHECK(look_of("orchard_sprayer", "corroded pump ground").ends_with("and gets warm"));
    CHECK(look_of("radiator_fan", "open coil") == "stands still, silent; no click from fan relay");
    CHECK(look_of("radiator_fan", "burnt relay contact") ==
          "stands still, silent; fan relay clicks as usual");
    CHECK(look_of("snow_plough_spinner", "little salt on the disc").starts_with("fast, at "));
}

TEST_CASE("why never asks for a heavier fuse and tells where the volts go") {
    // Expected: the volts in the first sentence are the signature's; wherever a heavier fuse is named it is
    // to say that it mends nothing.
    for (const char* scenario : scenarios) {
        CAPTURE(scenario);
        const Circuit circuit = bundled(scenario);
        const Stand stand = stand_of(circuit);
        auto conditions = circuit.conditions;
        const auto typical = typical_faults(stand);
        conditions.insert(conditions.end(), typical.begin(), typical.end());
        const auto all = signatures(stand, conditions);
        for (const Signature& s : all) {
            CAPTURE(s.name);
            const auto sentences = why(stand, all.front(), s);
            CHECK_FALSE(sentences.empty());
            for (const std::string& sentence : sentences) {
                CAPTURE(sentence);
                CHECK(sentence.ends_with("."));
                CHECK(sentence.find("nan") == std::string::npos);
                if (sentence.find("heavier") != std::string::npos)
                    CHECK(sentence.find("would mend nothing") != std::string::npos);
                CHECK(sentence.find("bigger") == std::string::npos);
            }
        }
    }
}

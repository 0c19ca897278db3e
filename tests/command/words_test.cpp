#include "viewer/figures/words.h"

#include <doctest/doctest.h>

#include <limits>
#include <set>

#include "tests/command/sample.h"

using namespace lostvolts;
using namespace lostvolts::command_tests;

TEST_CASE("volts and amperes show as a meter does and minus nothing is nothing") {
    // Expected, by hand.
    CHECK(volts(from_si<Voltage<>>(12.418)) == "12.42 V");
    CHECK(drop(from_si<Voltage<>>(0.0254)) == "0.025 V");
    CHECK(drop(from_si<Voltage<>>(-0.0001)) == "0.000 V");
    CHECK(amperes(from_si<Current<>>(8.916)) == "8.92 A");
    CHECK(amperes(from_si<Current<>>(0.0281)) == "28 mA");
    CHECK(amperes(from_si<Current<>>(-1e-12)) == "0 A");
}

TEST_CASE("a probability is never rounded to certainty") {
    // Expected, by hand.
    CHECK(percent(0.97) == "97 %");
    CHECK(percent(0.9996) == ">99 %");
    CHECK(percent(0.0004) == "<1 %");
    CHECK(percent(std::numeric_limits<double>::quiet_NaN()) == "—");
}

TEST_CASE("a fault's size says what it is a share of") {
    // Expected, by hand, from the kinds' meanings in motor.h and battery.h.
    const Circuit c = sample_circuit();
    CHECK(finding(c, {3, FaultKind::high_resistance, 0.18, 0.16, 0.205}) ==
          "The ground \"pump ground\" is bad: about 180 mΩ extra (90 % between 160 mΩ and 205 mΩ).");
    CHECK(finding(c, {2, FaultKind::dragging, 1.2, 1.2, 1.2}) ==
          "The motor \"bilge pump\" drags: friction of about 120 % of its load on top.");
    CHECK(
        finding(c, {2, FaultKind::weak_field, 0.4, 0.35, 0.45}) ==
        "The motor \"bilge pump\" has a weak field: about 40 % of it is lost (90 % between 35 % and 45 %).");
    CHECK(finding(c, {0, FaultKind::low_charge, 0.35, 0.35, 0.35}) ==
          "The battery \"battery\" is low: charge about 35 %.");
    CHECK(finding(c, {1, FaultKind::open, 0, 0, 0}) ==
          "The wire \"feed\" is open: no current gets through it.");
}

TEST_CASE("every kind of fault has a sentence and an explanation of its own") {
    // Expected: the list of kinds in fault.h.
    const Circuit c = sample_circuit();
    std::set<std::string> sentences;
    std::set<std::string_view> explanations;
    for (const std::string_view name : fault_names()) {
        const FaultKind kind = *fault_kind(name);
        sentences.insert(finding(c, {2, kind, 0.5, 0.4, 0.6}));
        explanations.insert(explanation(kind));
    }
    CHECK(sentences.size() == fault_names().size());
    CHECK(explanations.size() == fault_names().size());
    CHECK(!sentences.contains(""));
    CHECK(!explanations.contains(""));
}

TEST_CASE("a span names its unit once") {
    // Expected, by hand.
    CHECK(span_text(Measurand::voltage, 1.5, 1.8) == "1.50 to 1.80 V");
    CHECK(span_text(Measurand::current, 0.028, 1.2) == "28 mA to 1.20 A");
    CHECK(span_text(Measurand::speed, 104.72, 104.72) == "1000 rpm");
}

TEST_CASE("a reading is told by where its leads go") {
    // Expected, by hand.
    const Circuit c = sample_circuit();
    CHECK(what_is_read(c, Measurand::voltage, 1, 2, none) ==
          "voltage, red on \"battery +\", black on \"pump +\"");
    CHECK(what_is_read(c, Measurand::current, none, none, 2) == "current through \"bilge pump\"");
}

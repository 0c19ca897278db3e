#include <doctest/doctest.h>

#include <cmath>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/sizing/draw.h"
#include "tests/sizing/heater.h"

using namespace lostvolts;

namespace {

const std::string heater = testing::heater_text("", "10 %", "");

Network network_of(const std::string& text) {
    auto circuit = read_circuit_text(text, "test.toml");
    REQUIRE(circuit);
    return analyse(std::make_shared<const Circuit>(*std::move(circuit)));
}

StudyRequest calm() { // surroundings and source as drawn
    StudyRequest r;
    r.coldest = r.warmest = celsius(25);
    r.least_charge = r.most_charge = 1;
    r.most_ageing = 1;
    r.limit = from_si<Voltage<>>(0.25);
    return r;
}

} // namespace

TEST_CASE("the deviate of a share is the normal distribution's") {
    // Expected: tables of the normal distribution: 1.959963985 at 97.5 %, 1.644853627 at 95 %, −3.090232306
    // at 0.1 %.
    CHECK(normal_deviate(0.975) == doctest::Approx(1.959963985).epsilon(2e-9));
    CHECK(normal_deviate(0.95) == doctest::Approx(1.644853627).epsilon(2e-9));
    CHECK(normal_deviate(0.001) == doctest::Approx(-3.090232306).epsilon(2e-9));
    CHECK(std::abs(normal_deviate(0.5)) < 1e-12);
}

TEST_CASE("a study is the same on one thread, two and five") {
    // Expected: every figure bit for bit; another seed gives another.
    const Network n = network_of(heater);
    StudyRequest r;
    r.samples = 5003;
    r.limit = from_si<Voltage<>>(0.25);
    r.threads = 1;
    const auto one = study_tolerances(n, r);
    REQUIRE(one);
    for (const int threads : {2, 5}) {
        r.threads = threads;
        const auto more = study_tolerances(n, r);
        REQUIRE(more);
        CHECK(more->drop.mean == one->drop.mean);
        CHECK(more->drop.p99 == one->drop.p99);
        CHECK(more->drop.max == one->drop.max);
        CHECK(more->within_limit == one->within_limit);
    }
    r.seed = 2;
    CHECK(study_tolerances(n, r)->drop.mean != one->drop.mean);
}

TEST_CASE("the spread and the worst corner of a series circuit are those by hand") {
    // Expected, by hand: lost = V·Rw/(Rw + Rh) with V the posts' volts; to first order in the deviations σ_w,
    // σ_h and the source's the standard deviation is that of the linear form; the corner is the lead at its
    // most and the heater at its least. Tolerances: 3 % for 40,000 draws (1.1 % is three standard errors of
    // σ) and curvature; the corner to rounding of the deviate.
    const Network n = network_of(heater);
    StudyRequest r = calm();
    r.samples = 40'000;
    const auto s = study_tolerances(n, r);
    REQUIRE(s);
    const PartNumbers lead = numbers_of(n.circuit->parts[1].law, 0.10),
                      load = numbers_of(n.circuit->parts[2].law),
                      source = numbers_of(n.circuit->parts[0].law);
    const double w = lead.values[0], h = load.values[0], b = 0.010;
    const auto lost = [&](double rw, double rh, double rb) { return 12 * rw / (rw + rh + rb); };
    const double eps = 1e-6;
    const double per_w = (lost(w + eps, h, b) - lost(w - eps, h, b)) / (2 * eps);
    const double per_h = (lost(w, h + eps, b) - lost(w, h - eps, b)) / (2 * eps);
    const double per_b = (lost(w, h, b + eps) - lost(w, h, b - eps)) / (2 * eps);
    const double sigma =
        std::sqrt(std::pow(per_w * lead.deviations[0], 2) + std::pow(per_h * load.deviations[0], 2) +
                  std::pow(per_b * source.deviations[1], 2));
    CHECK(s->drop.deviation == doctest::Approx(sigma).epsilon(0.03));
    CHECK(s->drop.p50 == doctest::Approx(lost(w, h, b)).epsilon(0.005));
    const double z = 1.959963984540054;
    CHECK(s->worst_case_drop == doctest::Approx(lost(w + z * lead.deviations[0], h - z * load.deviations[0],
                                                     b - z * source.deviations[1]))
                                    .epsilon(1e-6));
    CHECK(s->influences.front().part == 1);
    CHECK(s->influences.front().per_deviation == doctest::Approx(per_w * lead.deviations[0]).epsilon(1e-5));
    double shares = 0;
    for (const Influence& i : s->influences) shares += i.share;
    CHECK(shares == doctest::Approx(1));
}

TEST_CASE("the range of temperature moves the lead's resistance by copper's coefficient") {
    // Expected, by hand: everything else exact, the most lost is at the warmest end: R·(1 + α·40)/(1 + α·5),
    // α of copper.
    std::string text = heater;
    text.replace(text.find("\"10 %\""), 6, "\"0.0001 %\"");
    text += "tolerance = \"0.0001 %\"\n";
    const Network n = network_of(text);
    StudyRequest r = calm();
    r.warmest = celsius(60);
    r.samples = 200;
    const auto s = study_tolerances(n, r);
    REQUIRE(s);
    const double warm = 0.040 * (1 + 0.00393 * 40) / (1 + 0.00393 * 5);
    CHECK(s->worst_case_drop == doctest::Approx(12 * warm / (warm + 2 + 0.010)).epsilon(5e-3));
    CHECK(s->drop.max <= s->worst_case_drop);
}

TEST_CASE("a load that is off can't be studied") {
    // Expected: the message.
    std::string text = heater;
    text.replace(text.find("to = \"heater +\""), 15, "to = \"before\"");
    text += "[[part]]\nname = \"switch\"\nkind = \"switch\"\nfrom = \"before\"\nto = \"heater +\"\n"
            "[[state]]\nname = \"off\"\nclosed = []\n";
    const auto s = study_tolerances(network_of(text), calm());
    REQUIRE(!s);
    CHECK(s.problems().front().what == "no load carries current in state \"off\"; there is nothing to study");
}

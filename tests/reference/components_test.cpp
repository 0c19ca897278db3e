// Lamps, relays, batteries and meters against published figures, through a circuit file and the prediction.
#include <doctest/doctest.h>

#include <fmt/format.h>

#include "solver/locate/weighing.h"
#include "tests/reference/example.h"

using namespace lostvolts;
using namespace lostvolts::reference_tests;

namespace {

Solved lamp_at(const std::string& emf) {
    return solved(supply(emf) + part("lamp", "lamp", "+", "0", "rated = \"12 V\"\npower = \"21 W\""));
}

/// A relay whose coil sits across a supply and whose contact feeds a load.
Solved relay_at(double coil_volts, const std::string& keys, const std::string& load_ohms) {
    return solved(supply("14 V") + supply(fmt::format("{} V", coil_volts), "0", "coil") +
                  part("relay", "relay", "+", "out", "coil_from = \"coil\"\ncoil_to = \"0\"\n" + keys) +
                  resistor("load", "out", "0", load_ohms));
}

double battery_volts(const std::string& keys, const std::string& load_ohms) {
    return solved(part("battery", "battery", "0", "+", keys) + resistor("load", "+", "0", load_ohms))
        .volts("+");
}

/// The half-width that a reading's meter claims, out of the standard deviation its weighing uses: JCGM 100
/// 4.3.7 takes a half-width over √3, beside the last digit's width over √12.
double claimed(const std::string& value, const std::string& accuracy) {
    const Circuit circuit = circuit_of(supply("100 V") + resistor("r", "+", "0", "1 kohm"));
    const auto job = read_readings_text(
        fmt::format("[[meter]]\nname = \"m\"\naccuracy = \"{}\"\n[[reading]]\nstate = \"run\"\nquantity = "
                    "\"voltage\"\nred = \"+\"\nblack = \"0\"\nvalue = \"{}\"\nmeter = \"m\"\n",
                    accuracy, value),
        "readings.toml", circuit);
    for (const Problem& p : job.problems()) MESSAGE(describe(p));
    REQUIRE(job);
    const Network network = analyse(std::make_shared<const Circuit>(job->circuit));
    const auto weighing = prepare(network, *job);
    REQUIRE(weighing);
    const double digit = job->readings[0].resolution;
    return std::sqrt((weighing->measured.variance[0] - digit * digit / 12) * 3);
}

} // namespace

TEST_CASE("a lamp off its voltage follows the re-rating exponents") {
    // [LMP], read: current as V^0.55, power as V^1.6 (0.55 + 1 = 1.55 strictly, the published figure is
    // rounded). A 12 V 21 W lamp at 10 V: 1.583 A (computed). Tolerance: 1e-4, the dark filament's share at a
    // third of the voltage.
    CHECK(std::abs(lamp_at("10 V").amps("lamp") - 1.583) <= 0.0005);
    for (const double volts : {4.0, 8.0, 10.8, 14.4}) {
        const Solved s = lamp_at(fmt::format("{} V", volts));
        CHECK(s.amps("lamp") == doctest::Approx(1.75 * std::pow(volts / 12, 0.55)).epsilon(1e-4));
        const double exponent = std::log(si(s.part("lamp").power) / 21) / std::log(volts / 12);
        CHECK(std::abs(exponent - 1.6) <= 0.0501);
    }
}

TEST_CASE("a dark filament has a tenth to a fifteenth of its hot resistance") {
    // Handbook, from memory: 10 to 15 for a gas-filled lamp; a 12 V 21 W lamp at ratio 12 has 0.571 ohm
    // (computed). A tenth of a millivolt lights nothing. Tolerance: 0.2 %, c = 0.004 being a round figure.
    const double ohms = 0.1e-3 / lamp_at("0.1 mV").amps("lamp");
    CHECK(6.857 / ohms > 10);
    CHECK(6.857 / ohms < 15);
    CHECK(ohms == doctest::Approx(0.571).epsilon(2e-3));
}

TEST_CASE("relays pull in, hold and drop volts as their data sheets say") {
    // [REL], two data sheets, read: 260 ohm, picks up at 7.2 V at the latest and drops out at 1.2 V; 3 mohm,
    // so 30 mV at 10 A; 300 ohm at 12 V is 480 mW.
    const std::string small = "contact = \"3 mohm\"\ncoil = \"260 ohm\"\npull_in = \"7.2 V\"";
    const Solved held = relay_at(7.3, small, "1.397 ohm"); // with the contact 1.4 ohm: 10 A from 14 V
    CHECK(held.states[0].relays_closed.size() == 1);
    CHECK(held.amps("relay") == doctest::Approx(10).epsilon(2e-5)); // ten micro-ohms of supply
    CHECK(si(held.part("relay").drop) == doctest::Approx(30e-3).epsilon(2e-5));
    CHECK(relay_at(7.1, small, "1.397 ohm").states[0].relays_closed.empty());

    const auto coil_watts = [](const std::string& ohms) {
        const Solved s = solved(supply("12 V") + resistor("idle", "+", "0", "1 kohm") +
                                part("relay", "relay", "+", "out",
                                     "coil_from = \"+\"\ncoil_to = \"0\"\ncoil = \"" + ohms + "\"") +
                                resistor("load", "out", "0", "1 Mohm"));
        return 12 * (s.amps("supply +") - s.amps("idle") - s.amps("load"));
    };
    CHECK(coil_watts("300 ohm") == doctest::Approx(0.480).epsilon(1e-5));
    // ISO 7588-class relays, from memory: about 1.6 W of 90 ohm.
    CHECK(std::abs(coil_watts("90 ohm") - 1.6) < 0.05);
}

TEST_CASE("what a relay is taken as when the file is silent lies within the data sheets") {
    // [REL], read: contact 3 mohm typical and 50 at most; pick-up at most 7.2 V, drop-out at least 10 %.
    const Circuit c = circuit_of(
        supply("12 V") +
        part("relay", "relay", "+", "out", "coil_from = \"+\"\ncoil_to = \"0\"\ncoil = \"90 ohm\"") +
        resistor("load", "out", "0", "1 ohm"));
    const auto& relay = std::get<Relay<>>(c.parts[1].law);
    CHECK(si(relay.contact) >= 3e-3);
    CHECK(si(relay.contact) <= 50e-3);
    CHECK(si(relay.settings.pull_in) == 7.2);
    CHECK(si(relay.settings.drop_out) == doctest::Approx(1.2).epsilon(1e-12));
}

TEST_CASE("a battery by its charge rests at the published volts") {
    // [BAT1], read: 100, 75, 50, 25 and 0 % at 26.7 °C. Tolerance: what a megohm draws.
    const std::pair<int, double> rows[] = {{100, 12.65}, {75, 12.45}, {50, 12.24}, {25, 12.06}, {0, 11.89}};
    for (const auto& [charge, volts] : rows)
        CHECK(battery_volts(fmt::format("charge = \"{} %\"\ntemperature = \"26.7 degC\"", charge),
                            "1 Mohm") == doctest::Approx(volts).epsilon(1e-7));
}

TEST_CASE("a battery told by its cold-cranking amps gives them at 7.2 volts") {
    // [BAT2] after SAE J537, read: at least 7.2 V at −18 °C while it gives its cold-cranking amps. 7.2 V at
    // 600 A is a load of 12 mohm.
    for (const auto& [amps, load] :
         {std::pair{"600 A", "12 mohm"}, {"450 A", "16 mohm"}, {"720 A", "10 mohm"}})
        CHECK(battery_volts(
                  fmt::format("charge = \"100 %\"\ntemperature = \"-18 degC\"\ncold_cranking = \"{}\"", amps),
                  load) == doctest::Approx(7.2).epsilon(1e-12));
}

TEST_CASE("a reading is weighed with the half-width that its meter's accuracy claims") {
    // [DMM], worked figures of meter makers' pages, read: share of the reading and counts of its last digit.
    struct Row {
        const char *value, *accuracy;
        double half_width;
    };
    for (const Row& row : {Row{"100.0 V", "1 % + 2 counts", 1.2}, Row{"100.0 V", "2 % + 2 counts", 2.2},
                           Row{"120.0 V", "1 % + 3 counts", 1.5}, Row{"2.000 V", "0.08 % + 2 counts", 0.0036},
                           Row{"79.999 V", "0.03 % + 10 counts", 0.034},
                           Row{"100.0 mV", "0.5 % + 2 counts", 0.0007}}) { // the last one computed
        INFO(row.value << ", " << row.accuracy);
        CHECK(claimed(row.value, row.accuracy) == doctest::Approx(row.half_width).epsilon(1e-4));
    }
}

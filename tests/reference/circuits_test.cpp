// Textbook circuits. Keys of sources in brackets: solver/reference/SOURCES.md and, for those that only stand
// here, OSX: OpenStax College Physics ch. 21; LEC: Lessons in Electric Circuits I ch. 10.
#include <doctest/doctest.h>

#include <fmt/format.h>

#include "solver/network/measure.h"
#include "tests/reference/example.h"

using namespace lostvolts;
using namespace lostvolts::reference_tests;

namespace {

std::string battery(const std::string& name, const std::string& to, const std::string& emf,
                    const std::string& ohms) {
    return part(name, "battery", "0", to, "emf = \"" + emf + "\"\nresistance = \"" + ohms + "\"");
}

} // namespace

TEST_CASE("two batteries feeding one resistor share it as the book says") {
    // [LEC] branch currents, 28 V behind 4 ohm and 7 V behind 1 ohm into 2 ohm (from memory, recomputed): 8
    // V; 5 A, 4 A, and 1 A backwards through the smaller battery.
    const Solved s = solved(battery("b1", "n", "28 V", "4 ohm") + battery("b2", "n", "7 V", "1 ohm") +
                            resistor("r2", "n", "0", "2 ohm"));
    CHECK(s.volts("n") == doctest::Approx(8).epsilon(1e-12));
    CHECK(s.amps("b1") == doctest::Approx(5).epsilon(1e-12));
    CHECK(s.amps("r2") == doctest::Approx(4).epsilon(1e-12));
    CHECK(s.amps("b2") == doctest::Approx(-1).epsilon(1e-12));
}

TEST_CASE("an unbalanced bridge stands as the book says") {
    // [LEC] mesh currents (from memory, recomputed). Tolerance: ten micro-ohms of supply in 176 ohm.
    const Solved s = solved(
        supply("24 V") + resistor("top left", "+", "left", "150 ohm") +
        resistor("top right", "+", "right", "50 ohm") + resistor("bridge", "right", "left", "100 ohm") +
        resistor("bottom left", "left", "0", "300 ohm") + resistor("bottom right", "right", "0", "250 ohm"));
    CHECK(s.volts("left") == doctest::Approx(17.65517241).epsilon(1e-7));
    CHECK(s.volts("right") == doctest::Approx(19.31034483).epsilon(1e-7));
    CHECK(s.amps("supply +") == doctest::Approx(0.1360919540).epsilon(1e-7));
    CHECK(s.amps("top right") == doctest::Approx(0.09379310345).epsilon(1e-7));
    CHECK(s.amps("bottom right") == doctest::Approx(0.07724137931).epsilon(1e-7));
    CHECK(s.amps("bridge") == doctest::Approx(0.01655172414).epsilon(1e-6));
}

TEST_CASE("a battery's internal resistance takes its share") {
    // [OSX] electromotive force (from memory, recomputed): 12 V behind 0.1 ohm with 10 and 0.5 ohm, and
    // behind 0.5 ohm with 0.5 ohm. Tolerance: the digits printed.
    const auto loop = [](const std::string& inside, const std::string& load) {
        return solved(battery("b", "+", "12 V", inside) + resistor("load", "+", "0", load));
    };
    const Solved light = loop("0.1 ohm", "10 ohm"), heavy = loop("0.1 ohm", "0.5 ohm"),
                 old = loop("0.5 ohm", "0.5 ohm");
    CHECK(std::abs(light.amps("load") - 1.188) <= 0.0005);
    CHECK(std::abs(light.volts("+") - 11.88) <= 0.005);
    CHECK(heavy.amps("load") == doctest::Approx(20).epsilon(1e-12));
    CHECK(heavy.volts("+") == doctest::Approx(10).epsilon(1e-12));
    CHECK(si(heavy.part("load").power) == doctest::Approx(200).epsilon(1e-12));
    CHECK(old.amps("load") == doctest::Approx(12).epsilon(1e-12));
    CHECK(si(old.part("load").power) == doctest::Approx(72).epsilon(1e-12));
}

TEST_CASE("two batteries and their resistors are one battery of 11.2 V behind 0.8 ohm") {
    // [LEC] Thevenin's and Norton's theorem (from memory, recomputed): without R2 the terminals read 11.2 V;
    // shorted they give 14 A; 2 ohm across them gets 8 V and 4 A. Tolerance: the
    // twenty micro-ohms of the short.
    const std::string pair = battery("b1", "n", "28 V", "4 ohm") + battery("b2", "n", "7 V", "1 ohm");
    const std::string open = resistor("spare", "n", "free end", "2 ohm");
    CHECK(solved(pair + open).volts("n") == doctest::Approx(11.2).epsilon(1e-12));
    CHECK(solved(pair + part("short", "connector", "n", "0", "resistance = \"20 uohm\"")).amps("short") ==
          doctest::Approx(14).epsilon(3e-5));
    CHECK(solved(pair + resistor("load", "n", "0", "2 ohm")).amps("load") ==
          doctest::Approx(4).epsilon(1e-12));

    // A meter whose own resistance were that load's shows the loaded volts.
    const Network network = analyse(std::make_shared<const Circuit>(circuit_of(pair + open)));
    Setup setup = set_up(network, 0);
    Workspace work;
    Operating at;
    REQUIRE_FALSE(operate(network, setup, work, at));
    const PointId n = find_point(*network.circuit, "n"), ground = network.circuit->ground;
    const std::vector<Probe> meters{{ProbeKind::voltage, n, ground, none, 2.0},
                                    {ProbeKind::voltage, ground, n, none, 2.0}};
    const std::vector<double> read = read_probes(network, setup, at, work, meters);
    CHECK(read[0] == doctest::Approx(8).epsilon(1e-12));
    CHECK(read[1] == doctest::Approx(-8).epsilon(1e-12)); // leads swapped
}

TEST_CASE("two emfs in three branches divide as Kirchhoff's rules say") {
    // [OSX] Kirchhoff's rules, the example with E1 = 18 V and E2 = 45 V (from memory, recomputed; the same
    // circuit was read with other emfs): 4.75, −3.50 and 8.25 A.
    const Solved s = solved(battery("e1", "a", "18 V", "0.5 ohm") + resistor("r2", "a", "n", "2.5 ohm") +
                            battery("e2", "b", "45 V", "0.5 ohm") + resistor("r3", "b", "n", "1.5 ohm") +
                            resistor("r1", "n", "0", "6 ohm"));
    CHECK(s.amps("r1") == doctest::Approx(4.75).epsilon(1e-12));
    CHECK(s.amps("e1") == doctest::Approx(-3.50).epsilon(1e-12));
    CHECK(s.amps("e2") == doctest::Approx(8.25).epsilon(1e-12));
}

TEST_CASE("two published problems with internal resistance come out to their digits") {
    // Stored worked problems, read, of low authority; both close. Tolerance: the digits printed.
    const Solved loop = solved(battery("b", "+", "12 V", "0.5 ohm") + resistor("r1", "+", "n", "4 ohm") +
                               resistor("r2", "n", "0", "5.5 ohm"));
    CHECK(loop.amps("r2") == doctest::Approx(1.2).epsilon(1e-12));

    // I1 = I2 + I3, 16.25·I1 + 20.5·I3 = 21, −15.75·I2 + 20.5·I3 = 15.
    const Solved three =
        solved(battery("b1", "n", "21 V", "16.25 ohm") + battery("b2", "n", "15 V", "15.75 ohm") +
               resistor("shared", "n", "0", "20.5 ohm"));
    CHECK(std::abs(three.amps("b1") - 0.4976) <= 0.00005);
    CHECK(std::abs(-three.amps("b2") - -0.1324) <= 0.00005);
    CHECK(std::abs(three.amps("shared") - 0.630) <= 0.0005);
}

TEST_CASE("an endless ladder of equal resistors has the golden ratio of resistance") {
    // Textbook identity (computed): R = 1 + 1/(1 + 1/R). Forty rungs of 1 ohm are endless to 1e-16.
    std::string rungs;
    for (int k = 0; k < 40; ++k)
        rungs += resistor(fmt::format("rail {}", k), k ? fmt::format("n{}", k) : "+",
                          fmt::format("n{}", k + 1), "1 ohm") +
                 resistor(fmt::format("rung {}", k), fmt::format("n{}", k + 1), "0", "1 ohm");
    const Solved s = solved(supply("12 V") + rungs);
    CHECK(s.volts("+") / s.amps("rail 0") == doctest::Approx(std::numbers::phi).epsilon(1e-13));
}

TEST_CASE("an R-2R ladder gives its code in volts and has the resistance R") {
    // Textbook identity (computed): sixteenths of the reference, and R seen from the output, by the current
    // of a short. Tolerance: the ten micro-ohms of supply and short.
    for (int code = 0; code < 16; ++code) {
        const auto bit = [&](int k) { return (code >> k) % 2 ? std::string("+") : std::string("0"); };
        std::string ladder = resistor("end", "n0", "0", "2 kohm");
        for (int k = 0; k < 4; ++k) {
            ladder += resistor(fmt::format("bit {}", k), fmt::format("n{}", k), bit(k), "2 kohm");
            if (k)
                ladder += resistor(fmt::format("step {}", k), fmt::format("n{}", k - 1),
                                   fmt::format("n{}", k), "1 kohm");
        }
        const std::string always_loaded = supply("16 V") + resistor("idle", "+", "0", "1 kohm");
        CHECK(std::abs(solved(always_loaded + ladder).volts("n3") - code) < 1e-6);
        const Solved shorted =
            solved(always_loaded + ladder + part("short", "connector", "n3", "0", "resistance = \"0 ohm\""));
        CHECK(std::abs(shorted.amps("short") * 1000 - code) < 1e-6);
    }
}

// Uncertainty as the Guide has it: JCGM 100:2008 (GUM), its electrical examples, by clause. Input values and
// results as the clauses print them, from memory and recomputed; H.2 stands in the tables of reference values
// too.
#include <doctest/doctest.h>

#include <cmath>

#include <fmt/format.h>

#include "solver/locate/locate.h"
#include "solver/locate/weighing.h"
#include "tests/reference/example.h"

using namespace lostvolts;
using namespace lostvolts::reference_tests;

namespace {

Readings job_of(const std::string& parts, const std::string& readings) {
    const auto job =
        read_readings_text("circuit = \"example.toml\"\n" + readings, "readings.toml", circuit_of(parts));
    for (const Problem& p : job.problems()) MESSAGE(describe(p));
    REQUIRE(job);
    return *job;
}

std::string battery(const std::string& emf, const std::string& tolerance) {
    return part("supply", "battery", "0", "+",
                fmt::format("emf = \"{}\"\nresistance = \"0 ohm\"\ntolerance = \"{}\"", emf, tolerance));
}

std::string ammeter(const std::string& through, const std::string& value) {
    return fmt::format("[[reading]]\nquantity = \"current\"\nthrough = \"{}\"\nvalue = \"{}\"\n", through,
                       value);
}

/// Slopes of the current through a part against every number of the circuit, by the adjoint.
struct CurrentSlopes {
    double amps;
    std::vector<double> slopes;
    Network network;

    double against(const char* part, std::size_t number = 0) const {
        const PartId p = find_part(*network.circuit, part);
        return slopes[static_cast<std::size_t>(network.first_number[static_cast<std::size_t>(p)]) + number];
    }
};

CurrentSlopes current_slopes(const std::string& parts, const char* through) {
    CurrentSlopes s{0, {}, analyse(std::make_shared<const Circuit>(circuit_of(parts)))};
    Setup setup = set_up(s.network, 0);
    Workspace work;
    Operating at;
    REQUIRE_FALSE(operate(s.network, setup, work, at));
    const Probe probe{ProbeKind::current, none, none, find_part(*s.network.circuit, through), 1e15};
    s.amps = read_probes_with_slopes(s.network, setup, at, work, std::span(&probe, 1), s.slopes).front();
    return s;
}

} // namespace

TEST_CASE("a meter's accuracy becomes a standard uncertainty as the Guide has it") {
    // 4.3.7 example 2: a digital voltmeter, 14e-6 of the reading + 2e-6 of the 1 V range, shows 0.928571 V: a
    // = 15 µV, u² = 75 µV², u = 8.7 µV. Tolerance: half the last digit printed.
    // F.2.2.1: an indication of resolution δx has u = 0.29·δx.
    CHECK(std::abs(instrument_sigma({14e-6, 2}, 1e-6, 0.928571) - 8.7e-6) < 0.05e-6);
    CHECK(std::abs(instrument_sigma({0, 0}, 1, 5) - 0.29) < 0.005);
}

TEST_CASE("a voltage's scatter and its meter's accuracy combine as the Guide has it") {
    // 5.1.5: V = V̄ + ΔV with u(V̄) = 12 µV and u(ΔV) = 8.7 µV of 4.3.7 gives u_c = 15 µV, and relative 16e-6.
    // Here V̄'s is the emf's tolerance, whose standard deviation is half of it; ΔV's is the meter's.
    const Readings job = job_of(
        battery("0.928571 V", fmt::format("{:.9f} %", 200 * 12e-6 / 0.928571)) +
            resistor("load", "+", "0", "1 Mohm"),
        "[[meter]]\nname = \"m\"\naccuracy = \"0.0014 % + 2 counts\"\ninput = \"1e6 Mohm\"\n[[reading]]\n"
        "quantity = \"voltage\"\nred = \"+\"\nblack = \"0\"\nvalue = \"0.928571 V\"\nmeter = \"m\"\n");
    const Network network = analyse(std::make_shared<const Circuit>(job.circuit));
    auto weighing = prepare(network, job);
    REQUIRE(weighing);
    const auto predicted = predict_readings(*weighing, {});
    REQUIRE(predicted);
    CHECK(std::abs(std::sqrt(predicted->tolerance(0, 0)) - 12e-6) < 0.5e-6);
    const double combined = std::sqrt(predicted->tolerance(0, 0) + weighing->measured.variance[0]);
    CHECK(std::abs(combined - 15e-6) < 0.5e-6);
    CHECK(std::abs(combined / 0.928571 - 16e-6) < 0.5e-6);
}

TEST_CASE("ten resistors in series add their uncertainties as the Guide has it") {
    // 5.2.2 example: ten of 1000 ohm, u = 0.1 ohm each. Calibrated against one standard (r = +1) u_c = 1 ohm.
    // Independent, by equation (10), 0.32 ohm. The circuit's slopes give both: u(R)/R = u(I)/I for a fixed
    // emf. Tolerance: half the last digit printed.
    std::string parts = battery("10 V", "0 %");
    for (int k = 0; k < 10; ++k)
        parts += part(fmt::format("r{}", k), "resistor", k == 0 ? "+" : fmt::format("p{}", k),
                      k == 9 ? "0" : fmt::format("p{}", k + 1),
                      "resistance = \"1000 ohm\"\ntolerance = \"0.02 %\"");
    const CurrentSlopes s = current_slopes(parts, "r3");
    double sum = 0;
    for (int k = 0; k < 10; ++k) sum += s.against(fmt::format("r{}", k).c_str()) * 0.1;
    CHECK(std::abs(std::abs(sum) / s.amps * 10e3 - 1) < 0.005);
    const Readings job = job_of(parts, ammeter("r3", "1.000 mA"));
    auto weighing = prepare(s.network, job);
    REQUIRE(weighing);
    const auto predicted = predict_readings(*weighing, {});
    REQUIRE(predicted);
    CHECK(std::abs(std::sqrt(predicted->tolerance(0, 0)) / s.amps * 10e3 - 0.32) < 0.005);
}

TEST_CASE("an impedance from correlated volts and amperes has the Guide's uncertainty") {
    // H.2: V = 4.9990 V, u 0.0032; I = 19.6610 mA, u 0.0095; r(V,I) = −0.36. Table H.4: Z = V/I = 254.260
    // ohm, u 0.236. (R and X need the phase, which a DC circuit has not.) The circuit says I(V, Z), with
    // slopes by the adjoint; from dI = a·dV + b·dZ follows dZ = (dI − a·dV)/b. Tolerance on Z: ten micro-ohms
    // of source and the printed digit; on u: u(V) and u(I) come with two digits, which moves u(Z) by 1.5 % at
    // the most.
    const double u_volts = 0.0032, u_amps = 0.0095e-3, r = -0.36;
    const CurrentSlopes s =
        current_slopes(battery("4.9990 V", "0 %") + resistor("z", "+", "0", "254.260 ohm"), "z");
    CHECK(std::abs(s.amps - 19.6610e-3) < 0.0005e-3);
    const double a = s.against("supply"), b = s.against("z");
    const double from_volts = -a / b * u_volts, from_amps = u_amps / b;
    const double u =
        std::sqrt(from_volts * from_volts + from_amps * from_amps + 2 * r * from_volts * from_amps);
    CHECK(u == doctest::Approx(0.236).epsilon(0.015));
}

TEST_CASE("a joint's resistance from its drop and the current has the uncertainty of the ratio") {
    // 5.1.6, equation (12): (u_R/R)² = (u_V/V)² + (u_I/I)². 0.350 V, u 0.002 V, at 12.5 A, u 0.25 A: 0.0280
    // ohm, u 0.000582 (computed). The whole way through `locate`: the ground's fault is all the resistance
    // there is, the load strays so widely that it says nothing, and the 90 % interval is ±1.645·u. Tolerance
    // 2 %: the prior is even in log size, and the load's own ±90 % adds a little knowledge of the current.
    const Readings job = job_of(
        part("supply", "battery", "0", "+", "emf = \"12.6 V\"\nresistance = \"0 ohm\"") +
            part("load", "heater", "+", "frame", "resistance = \"0.98 ohm\"\ntolerance = \"90 %\"") +
            part("joint", "ground", "frame", "0", "resistance = \"0 ohm\""),
        // u of a half-width is a/√3: 34.64 counts of 0.1 mV, 43.30 of 10 mA; the last digit's own is a
        // thousandth.
        "[[meter]]\nname = \"v\"\naccuracy = \"34.64 counts\"\n[[meter]]\nname = \"a\"\naccuracy = \"43.30 "
        "counts\"\n"
        "[[reading]]\nquantity = \"voltage\"\nred = \"frame\"\nblack = \"0\"\nvalue = \"0.3500 V\"\nmeter = "
        "\"v\"\n"
        "[[reading]]\nquantity = \"current\"\nthrough = \"joint\"\nvalue = \"12.50 A\"\nmeter = \"a\"\n");
    const auto found = locate(job);
    REQUIRE(found);
    const Suspect& first = found->suspects.front();
    REQUIRE(first.faults.size() == 1);
    const FoundFault& fault = first.faults.front();
    CHECK(job.circuit.parts[static_cast<std::size_t>(fault.part)].name == "joint");
    CHECK(fault.kind == FaultKind::high_resistance);
    CHECK(fault.value == doctest::Approx(0.0280).epsilon(0.005));
    CHECK((fault.high - fault.low) / (2 * 1.6449) == doctest::Approx(0.000582).epsilon(0.02));
}

// The main job's arithmetic against worked examples that others have published, through the whole path: a
// circuit file's text, the reader, the network, the prediction. Sources by key: solver/reference/SOURCES.md
// and the notes below.
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/network/predict.h"

using namespace lostvolts;

namespace {

struct Solved {
    Circuit circuit;
    std::vector<StatePrediction> states;

    const PartResult& part(const char* name, std::size_t state = 0) const {
        return states[state].parts[static_cast<std::size_t>(find_part(circuit, name))];
    }
    double amps(const char* name, std::size_t state = 0) const { return si(part(name, state).current); }
    double volts(const char* point, std::size_t state = 0) const {
        return si(*states[state].points[static_cast<std::size_t>(find_point(circuit, point))]);
    }
    const MotorResult& motor(std::size_t state = 0) const { return states[state].motors.front(); }
};

std::string part(const std::string& name, const std::string& kind, const std::string& from,
                 const std::string& to, const std::string& keys) {
    return fmt::format("[[part]]\nname = \"{}\"\nkind = \"{}\"\nfrom = \"{}\"\nto = \"{}\"\n{}\n", name, kind,
                       from, to, keys);
}

Solved solved(const std::string& parts) {
    const auto read =
        read_circuit_text("format = 1\nname = \"example\"\nground = \"0\"\n" + parts, "example.toml");
    for (const Problem& p : read.problems()) MESSAGE(describe(p));
    REQUIRE(read);
    const auto states = predict(analyse(std::make_shared<const Circuit>(*read)));
    REQUIRE(states);
    return {*read, *states};
}

const std::string run_and_stall =
    "[[state]]\nname = \"run\"\n[[state]]\nname = \"stall\"\nlocked = [\"m\"]\n";
constexpr double rpm = 2 * 3.14159265358979323846 / 60;

} // namespace

TEST_CASE("two batteries feeding one resistor share it as the book says") {
    // Lessons in Electric Circuits I, ch. 10 [LEC], from memory, recomputed: node 8 V, 5 A, 4 A and 1 A
    // backwards.
    const Solved s = solved(part("b1", "battery", "0", "n", "emf = \"28 V\"\nresistance = \"4 ohm\"") +
                            part("b2", "battery", "0", "n", "emf = \"7 V\"\nresistance = \"1 ohm\"") +
                            part("r2", "resistor", "n", "0", "resistance = \"2 ohm\""));
    CHECK(s.volts("n") == doctest::Approx(8).epsilon(1e-12));
    CHECK(s.amps("b1") == doctest::Approx(5).epsilon(1e-12));
    CHECK(s.amps("r2") == doctest::Approx(4).epsilon(1e-12));
    CHECK(s.amps("b2") == doctest::Approx(-1).epsilon(1e-12));
}

TEST_CASE("an unbalanced bridge stands as the book says") {
    // Lessons in Electric Circuits I, ch. 10 [LEC], from memory, recomputed. The battery's "0 ohm" is taken
    // as 10 µΩ.
    const Solved s = solved(part("b", "battery", "0", "top", "emf = \"24 V\"\nresistance = \"0 ohm\"") +
                            part("tl", "resistor", "top", "left", "resistance = \"150 ohm\"") +
                            part("tr", "resistor", "top", "right", "resistance = \"50 ohm\"") +
                            part("br", "resistor", "right", "left", "resistance = \"100 ohm\"") +
                            part("bl", "resistor", "left", "0", "resistance = \"300 ohm\"") +
                            part("brt", "resistor", "right", "0", "resistance = \"250 ohm\""));
    CHECK(s.volts("left") == doctest::Approx(17.65517241).epsilon(1e-6));
    CHECK(s.volts("right") == doctest::Approx(19.31034483).epsilon(1e-6));
    CHECK(s.amps("b") == doctest::Approx(0.1360919540).epsilon(1e-6));
    CHECK(s.amps("br") == doctest::Approx(0.01655172414).epsilon(1e-6));
}

TEST_CASE("a battery's internal resistance takes its share") {
    // OpenStax College Physics, electromotive force [OSX], from memory, recomputed: 12 V and 0.1 ohm behind
    // 10 and 0.5 ohm.
    const auto loop = [](const char* r, const char* load) {
        return solved(
            part("b", "battery", "0", "+", std::string("emf = \"12 V\"\nresistance = \"") + r + "\"") +
            part("load", "heater", "+", "0", std::string("resistance = \"") + load + "\""));
    };
    CHECK(loop("0.1 ohm", "10 ohm").amps("load") == doctest::Approx(1.188).epsilon(5e-4));
    CHECK(loop("0.1 ohm", "10 ohm").volts("+") == doctest::Approx(11.88).epsilon(5e-4));
    CHECK(loop("0.1 ohm", "0.5 ohm").amps("load") == doctest::Approx(20).epsilon(1e-9));
    CHECK(si(loop("0.1 ohm", "0.5 ohm").part("load").power) == doctest::Approx(200).epsilon(1e-9));
    CHECK(loop("0.5 ohm", "0.5 ohm").volts("+") == doctest::Approx(6).epsilon(1e-9));
}

TEST_CASE("a motor with a fan's load settles where the exam says") {
    // Electrical machines and drives, exam summer 2025 task 2 [EMD], read: 48 V, k = 0.29, R = 2.4 ohm, T =
    // 0.001·ω². Tolerance: the published digits.
    const Solved s = solved(part("b", "battery", "0", "+", "emf = \"48 V\"\nresistance = \"0 ohm\"") +
                            part("m", "motor", "+", "0",
                                 "resistance = \"2.4 ohm\"\nconstant = \"0.29 V s\"\nload = \"quadratic\"\n"
                                 "load_torque = \"10 N m\"\nload_speed = \"100 rad/s\""));
    CHECK(si(s.motor().speed) == doctest::Approx(60.63).epsilon(1e-4));
    CHECK(si(s.motor().current) == doctest::Approx(12.67).epsilon(4e-4));
    CHECK(si(s.motor().torque) == doctest::Approx(3.68).epsilon(2e-3));
}

TEST_CASE("resistance in series slows a motor to the published speed") {
    // Same course, exam summer 2024 task 2 [EMD], read: 230 V, k = 1.36, R = 1.13 ohm, 20 N·m; 5.79 ohm added
    // for 900 rpm.
    const Solved s = solved(part("b", "battery", "0", "+", "emf = \"230 V\"\nresistance = \"0 ohm\"") +
                            part("added", "resistor", "+", "m+", "resistance = \"5.79 ohm\"") +
                            part("m", "motor", "m+", "0",
                                 "resistance = \"1.13 ohm\"\nconstant = \"1.36 V s\"\nload = "
                                 "\"constant\"\nload_torque = \"20 N m\""));
    CHECK(si(s.motor().current) == doctest::Approx(14.71).epsilon(4e-4));
    CHECK(si(s.motor().speed) == doctest::Approx(900 * rpm).epsilon(1e-3));
}

TEST_CASE("a nameplate gives the published constants, running and stalled") {
    // Permanent-magnet machine defaults of the Modelica Standard Library [MSL], read: 100 V, 100 A, 1425 rpm,
    // 0.05 ohm give k = 0.6366 V·s/rad, back emf 95 V, 63.66 N·m, stall 2000 A.
    const Solved s = solved(part("b", "battery", "0", "+", "emf = \"100 V\"\nresistance = \"0 ohm\"") +
                            part("m", "motor", "+", "0",
                                 "rated = \"100 V\"\nrun_current = \"100 A\"\nstall_current = \"2000 "
                                 "A\"\nrun_speed = \"1425 rpm\"") +
                            run_and_stall);
    CHECK(si(s.motor().back_emf) == doctest::Approx(95).epsilon(1e-4));
    CHECK(si(s.motor().torque) == doctest::Approx(63.66).epsilon(1e-4));
    CHECK(si(s.motor().speed) == doctest::Approx(1425 * rpm).epsilon(1e-4));
    CHECK(si(s.motor(1).current) == doctest::Approx(2000).epsilon(5e-4)); // 10 µΩ of battery in 50 mΩ
}

TEST_CASE("starting and running currents agree with four textbook motors") {
    // [BK] and [OSX] problems, read or from memory: volts, run amps, stall amps → back emf at speed.
    struct Row {
        const char *volts, *run, *stall;
        double back_emf, tolerance;
    };
    for (const Row& row :
         {Row{"6 V", "3 A", "12 A", 4.5, 1e-4}, Row{"115 V", "6.5 A", "21.5 A", 80.2, 5e-4},
          Row{"120 V", "7 A", "166.7 A", 114.96, 1e-4}, Row{"48 V", "20 A", "120 A", 40.0, 1e-4}}) {
        const Solved s =
            solved(part("b", "battery", "0", "+",
                        std::string("emf = \"") + row.volts + "\"\nresistance = \"0 ohm\"") +
                   part("m", "motor", "+", "0",
                        std::string("rated = \"") + row.volts + "\"\nrun_current = \"" + row.run +
                            "\"\nstall_current = \"" + row.stall + "\"\nrun_speed = \"3000 rpm\""));
        CHECK(si(s.motor().back_emf) == doctest::Approx(row.back_emf).epsilon(row.tolerance));
    }
}

TEST_CASE("the series resistance that tames a start is the textbook's") {
    // 120 V, 0.72 ohm, 7.28 ohm in series: 15 A at start [BK], read.
    const Solved s = solved(part("b", "battery", "0", "+", "emf = \"120 V\"\nresistance = \"0 ohm\"") +
                            part("starter", "resistor", "+", "m+", "resistance = \"7.28 ohm\"") +
                            part("m", "motor", "m+", "0",
                                 "rated = \"120 V\"\nrun_current = \"7 A\"\nstall_current = \"166.667 "
                                 "A\"\nrun_speed = \"1750 rpm\"") +
                            run_and_stall);
    CHECK(si(s.motor(1).current) == doctest::Approx(15).epsilon(1e-4));
}

TEST_CASE("a low stall current means something in series and not a small motor") {
    // Common practice, no source: a 12 V pump that runs at about 9 A and stalls at about 21 A, and stalls at
    // 8 to 9 A, has a resistance in series about as large as its own and half again.
    const auto pump = [](const char* ohms) {
        return solved(part("b", "battery", "0", "+", "emf = \"12.6 V\"\nresistance = \"20 mohm\"") +
                      part("joint", "connector", "+", "m+", std::string("resistance = \"") + ohms + "\"") +
                      part("m", "motor", "m+", "0",
                           "rated = \"12 V\"\nrun_current = \"9 A\"\nstall_current = \"21 A\"\nrun_speed = "
                           "\"3400 rpm\"") +
                      run_and_stall);
    };
    CHECK(si(pump("5 mohm").motor(1).current) == doctest::Approx(21).epsilon(0.05));
    const Solved bad = pump("880 mohm");
    CHECK(si(bad.motor(1).current) == doctest::Approx(8.5).epsilon(0.02));
    CHECK(si(bad.motor().current) < 0.6 * 9); // and it runs on little more than half of its current
}

TEST_CASE("a lamp below its voltage draws the re-rated current") {
    // Lamp re-rating, current exponent 0.55 [LMP], read: a 12 V 21 W lamp at 10 V draws 1.583 A. A dark
    // filament's hundredth of a per mille stays inside the printed digits.
    const Solved s = solved(part("b", "battery", "0", "+", "emf = \"10 V\"\nresistance = \"0 ohm\"") +
                            part("lamp", "lamp", "+", "0", "rated = \"12 V\"\npower = \"21 W\""));
    CHECK(s.amps("lamp") == doctest::Approx(1.583).epsilon(4e-4));
}

TEST_CASE("6.4 m of 2.5 square millimetres loses what the table says") {
    // IEC 60228 class 5 (read): 7.98 mohm/m at 20 °C, so 10 A along 6.4 m out and back lose 0.511 V; by
    // 0.00393/K 0.621 V at 75 °C (computed).
    const auto wire = [](const char* temperature) {
        return solved(part("b", "battery", "0", "+", "emf = \"12 V\"\nresistance = \"0 ohm\"") +
                      part("wire", "wire", "+", "load+",
                           std::string("size = \"2.5 mm2\"\nlength = \"6.4 m\"\ntemperature = \"") +
                               temperature + "\"") +
                      part("load", "electronic", "load+", "0", "power = \"100 W\"\ncut_out = \"6 V\""));
    };
    for (const auto& [temperature, at_ten_amps] : {std::pair{"20 degC", 0.511}, {"75 degC", 0.621}}) {
        const Solved s = wire(temperature);
        CHECK(si(s.part("wire").drop) / s.amps("wire") * 10 == doctest::Approx(at_ten_amps).epsilon(1e-3));
    }
}

// Motors, chargers and controllers at working points found by hand.
#include <doctest/doctest.h>

#include "solver/circuit/read.h"
#include "solver/network/measure.h"
#include "tests/network/worked.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

/// R, k and a torque that is the same at every speed.
Motor<> steady_motor(double ohms, double constant, double torque) {
    Motor<> m;
    m.winding = from_si<Resistance<>>(ohms);
    m.constant = from_si<MotorConstant<>>(constant);
    m.load_torque = from_si<Torque<>>(torque);
    m.settings.law = LoadLaw::constant;
    m.settings.load_speed = from_si<Speed<>>(100.0);
    m.settings.run_current = m.load_torque / m.constant;
    m.inductance = from_si<Inductance<>>(1e-3);
    m.inertia = from_si<Inertia<>>(1e-4);
    return m;
}

constexpr double slack = 2e-6; // a millionth of a motor's load is viscous, from its load speed on

} // namespace

TEST_CASE("of two motors with constant loads in series the one that needs more current stands still") {
    // By hand: one current must serve both. 0.1 N·m/A against 0.5 N·m needs 5 A, against 0.8 N·m 8 A: at 5 A
    // the second can't move, and the first has 24 V − 5 A·(0.01 + 0.5 + 0.5) ohm of back emf.
    Builder b;
    b.add(battery(24, 0.01), "gnd", "+");
    const PartId easy = b.add(steady_motor(0.5, 0.1, 0.5), "+", "between");
    const PartId heavy = b.add(steady_motor(0.5, 0.1, 0.8), "between", "gnd");
    const Worked w(b);
    REQUIRE_FALSE(w.problem);
    CHECK(w.amps(easy) == doctest::Approx(5).epsilon(slack));
    CHECK(w.amps(heavy) == doctest::Approx(w.amps(easy)).epsilon(1e-9));
    CHECK(w.speed(heavy) < 1e-3 * 100); // within the stretch that stands for standstill
    CHECK(w.speed(easy) == doctest::Approx((24 - 5 * 1.01) / 0.1).epsilon(1e-3));
}

TEST_CASE("a tachometer shows nothing on a motor that its friction holds") {
    // By hand: 0.1 N·m/A times 12 V / 0.51 ohm is 2.35 N·m, below a load of 3 N·m: the shaft stands. The
    // straight stretch of the sign would let it crawl at 0.08 rad/s. No number of any part moves it.
    Builder b;
    b.add(battery(12, 0.01), "gnd", "+");
    const PartId motor = b.add(steady_motor(0.5, 0.1, 3), "+", "gnd");
    const Network n = b.network();
    Setup setup = set_up(n, 0);
    Workspace work;
    Operating at;
    REQUIRE_FALSE(operate(n, setup, work, at));
    const Probe tachometer{ProbeKind::speed, none, none, motor, 10e6};
    std::vector<double> slopes;
    CHECK(read_probes_with_slopes(n, setup, at, work, std::span(&tachometer, 1), slopes).front() == 0);
    CHECK(read_probes(n, setup, at, work, std::span(&tachometer, 1)).front() == 0);
    for (const double slope : slopes) CHECK(slope == 0);
}

TEST_CASE("a motor with its leads swapped turns backwards at the same speed and current") {
    // Symmetry. The load resists either way.
    Builder there, back;
    for (Builder* b : {&there, &back}) b->add(battery(12.6, 0.01), "gnd", "+");
    const Motor<> pump = nameplate_motor(12, 9, 24, 3400, LoadLaw::quadratic);
    const PartId m = there.add(pump, "+", "gnd");
    back.add(pump, "gnd", "+");
    const Worked a(there), z(back);
    REQUIRE_FALSE(a.problem);
    REQUIRE_FALSE(z.problem);
    CHECK(a.amps(m) > 9);
    CHECK(z.amps(m) == doctest::Approx(-a.amps(m)).epsilon(1e-9));
    CHECK(z.speed(m) == doctest::Approx(-a.speed(m)).epsilon(1e-9));
}

TEST_CASE("only the motor on the state's list is held") {
    // By hand: two 0.5 ohm motors on a stiff supply; the held one draws 24 A, the free one its torque's 5 A.
    Builder b;
    b.add(battery(12, 1e-9), "gnd", "+");
    const PartId held = b.add(steady_motor(0.5, 0.05, 0.25), "+", "gnd");
    const PartId free = b.add(steady_motor(0.5, 0.05, 0.25), "+", "gnd");
    b.circuit.states.front().locked = {held};
    const Worked w(b);
    REQUIRE_FALSE(w.problem);
    CHECK(w.amps(held) == doctest::Approx(24).epsilon(1e-7));
    CHECK(w.speed(held) == 0);
    CHECK(w.amps(free) == doctest::Approx(5).epsilon(slack));
}

TEST_CASE("a charger beside a battery regulates up to its limit and then the battery gives the rest") {
    // By hand. Regulating: (14.2 − v)/0.01 + (12.6 − v)/0.02 = v/R. At its limit of 30 A: 30 + (12.6 −
    // v)/0.02 = v/R. Off its straight stretch a charger keeps a slope of a millionth.
    Charger<> c;
    c.regulated = from_si<Voltage<>>(14.2);
    c.droop = from_si<Resistance<>>(0.01);
    const auto volts = [&](double limit, double load) {
        Builder b;
        c.limit = from_si<Current<>>(limit);
        b.add(battery(12.6, 0.02), "gnd", "+");
        b.add(c, "gnd", "+");
        b.add(resistor(load), "+", "gnd");
        const Worked w(b);
        REQUIRE_FALSE(w.problem);
        return w.volts("+");
    };
    CHECK(volts(200, 1) == doctest::Approx((1420 + 630) / (100 + 50 + 1.)).epsilon(1e-12));
    CHECK(volts(30, 1) == doctest::Approx((30 + 630) / (50 + 1.)).epsilon(1e-5));
    CHECK(volts(30, 0.1) == doctest::Approx((30 + 630) / (50 + 10.)).epsilon(1e-5)); // the battery gives 80 A
}

TEST_CASE("a controller that asks for more than its source can give settles at its cut-out") {
    // By hand: 500 W behind 0.1 ohm has no working point above the knee; between 5.88 and 6 V its 66.67 A
    // come in along the ramp: (12 − v)/0.1 = 66.67·(v − 5.88)/0.12 gives 5.9882 V (and a millionth of a
    // siemens).
    Builder b;
    Electronic<> e;
    e.power = from_si<Power<>>(500.0);
    e.settings = {from_si<Voltage<>>(6.0), from_si<Voltage<>>(7.5)};
    b.add(battery(12, 0.1), "gnd", "+");
    b.add(e, "+", "gnd");
    const Worked w(b);
    REQUIRE_FALSE(w.problem);
    const double ramp = 500 / 7.5 / 0.12;
    CHECK(w.volts("+") == doctest::Approx((120 + ramp * 5.88) / (10 + ramp)).epsilon(1e-6));
}

TEST_CASE("a battery shorted by a ten milliohm wire gives 600 amperes and no complaint") {
    // By hand: 12 V over 10 and 10 mΩ. Only an ideal link is impossible, and that is said by name.
    const auto text = [](const char* ohms) {
        return std::string("format = 1\nground = \"-\"\n"
                           "[[part]]\nname = \"battery\"\nkind = \"battery\"\nfrom = \"-\"\nto = \"+\"\n"
                           "emf = \"12 V\"\nresistance = \"10 mohm\"\n"
                           "[[part]]\nname = \"spanner\"\nkind = \"wire\"\nfrom = \"+\"\nto = \"-\"\n"
                           "resistance = \"") +
               ohms + "\"\n";
    };
    const auto legal = read_circuit_text(text("10 mohm"), "short.toml");
    REQUIRE(legal);
    const Worked w(std::make_shared<const Circuit>(*legal));
    REQUIRE_FALSE(w.problem);
    CHECK(w.amps(1) == doctest::Approx(600).epsilon(1e-12));
    const auto ideal = read_circuit_text(text("0 ohm"), "short.toml");
    REQUIRE_FALSE(ideal);
    CHECK(ideal.problems().front().what.find("battery \"battery\" is shorted by \"spanner\"") !=
          std::string::npos);
}

// The posterior of `locate` against an independent one: closed-form circuits, priors and instruments as the
// documents have them, GSL's VEGAS over every tolerance and size. Only the files' text, and the answer, are
// shared.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/locate/locate.h"
#include "tests/locate/brute_force.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

constexpr unsigned long seed = 20261125;
constexpr double no_size = 0;

// 0.01 of probability is the target; three times VEGAS' own error is allowed for beside it.
constexpr double allowed = 0.01;
// With a load three of its standard deviations from nominal its current bends away from its slope there.
constexpr double allowed_far_out = 0.03;

/// Charge to volts at 25 °C, 6 cells: the table of [BAT1] (11.89 … 12.65 V by quarters at 26.7 °C), 0.2 mV a
/// kelvin and cell.
double rest_volts(double charge) {
    constexpr double table[] = {11.89, 12.06, 12.24, 12.45, 12.65};
    const int k = std::min(static_cast<int>(4 * charge), 3);
    return table[k] + (4 * charge - k) * (table[k + 1] - table[k]) - 6 * 0.0002 * 1.7;
}

BruteSuspect sized(std::string part, std::string kind, double odds, double low, double high, bool ohms,
                   std::function<void(Numbers&, double)> put) {
    return {std::move(part), std::move(kind), odds, low, high, ohms, std::move(put)};
}
BruteSuspect there_or_not(std::string part, std::string kind, double odds,
                          std::function<void(Numbers&)> put) {
    return {std::move(part),
            std::move(kind),
            odds,
            no_size,
            no_size,
            false,
            [put = std::move(put)](Numbers& n, double) { put(n); }};
}

/// What puts a fault's size, or an open circuit, in place of one of the numbers.
std::function<void(Numbers&, double)> set(std::size_t which) {
    return [which](Numbers& n, double size) { n[which] = size; };
}
std::function<void(Numbers&)> open(std::size_t which, double ohms) {
    return [which, ohms](Numbers& n) { n[which] = ohms; };
}

/// One reading as a person writes it, and its meter.
struct Written {
    std::string state, quantity, where; ///< keys between quantity and value
    double value;
    int decimals;
    std::string unit;
    double share, counts; ///< the meter's accuracy
};

std::string readings_text(const std::vector<Written>& all) {
    std::string text = "circuit = \"circuit.toml\"\n";
    for (std::size_t k = 0; k < all.size(); ++k)
        text +=
            fmt::format("[[meter]]\nname = \"m{}\"\naccuracy = \"{} % + {} counts\"\ninput = \"1e6 Mohm\"\n",
                        k, 100 * all[k].share, all[k].counts);
    for (std::size_t k = 0; k < all.size(); ++k)
        text += fmt::format(
            "[[reading]]\nstate = \"{}\"\nquantity = \"{}\"\n{}value = \"{:.{}f} {}\"\nmeter = \"m{}\"\n",
            all[k].state, all[k].quantity, all[k].where, all[k].value, all[k].decimals, all[k].unit, k);
    return text;
}

/// `most` is the largest the healthy circuit has of the quantity: supply volts, or the part's amperes.
BruteReading brute(const Written& w, double most) {
    const double digit = std::pow(10.0, -w.decimals), size = std::abs(w.value);
    if (w.quantity == "speed") { // written in rpm
        constexpr double rpm = 2 * std::numbers::pi / 60;
        const double half = w.share * size + w.counts * digit;
        return {w.value * rpm, rpm * std::sqrt(half * half / 3 + digit * digit / 12),
                2 * std::max(size * rpm, 100.0)};
    }
    const double half = w.share * size + w.counts * digit;
    // Half-width taken as evenly likely, JCGM 100 4.3.7, and the last digit's rounding; spans by
    // weighing.cpp.
    return {w.value, std::sqrt(half * half / 3 + digit * digit / 12),
            w.quantity == "voltage" ? 2.4 * std::max(most, size) : 3 * std::max({most, size, 0.1})};
}

std::string between(const char* red, const char* black) {
    return fmt::format("red = \"{}\"\nblack = \"{}\"\n", red, black);
}
std::string through(const char* part) { return fmt::format("through = \"{}\"\n", part); }

void compare(const std::string& circuit_text, const std::vector<Written>& written,
             const BruteCircuit& brute_circuit, double within) {
    const auto circuit = read_circuit_text(circuit_text, "circuit.toml");
    for (const Problem& p : circuit.problems()) MESSAGE(describe(p));
    REQUIRE(circuit);
    const auto job = read_readings_text(readings_text(written), "readings.toml", *circuit);
    for (const Problem& p : job.problems()) MESSAGE(describe(p));
    REQUIRE(job);
    const auto found = locate(*job);
    REQUIRE(found);
    const BrutePosterior brute = brute_force(brute_circuit, seed);
    CHECK(brute.worst_error < 0.003);
    double worst = 0;
    std::size_t seen = 0;
    for (const Suspect& s : found->suspects) {
        if (s.faults.size() > 1) continue; // two faults at once: not among the brute-force's
        std::size_t at = brute_circuit.suspects.size();
        const std::string part =
            s.faults.empty() ? "" : circuit->parts[static_cast<std::size_t>(s.faults[0].part)].name;
        const std::string kind = s.faults.empty() ? "" : std::string(name_of(s.faults[0].kind));
        if (!s.unmodelled)
            at = static_cast<std::size_t>(
                std::find_if(brute_circuit.suspects.begin(), brute_circuit.suspects.end(),
                             [&](const BruteSuspect& b) { return b.part == part && b.kind == kind; }) -
                brute_circuit.suspects.begin());
        REQUIRE_MESSAGE((s.unmodelled || at < brute_circuit.suspects.size()), part, " ", kind);
        INFO((s.unmodelled ? "not modelled" : part), " ", kind, ": locate ", s.probability, ", brute force ",
             brute.probability[at]);
        CHECK(std::abs(s.probability - brute.probability[at]) < within + 3 * brute.worst_error);
        worst = std::max(worst, std::abs(s.probability - brute.probability[at]));
        ++seen;
    }
    CHECK(seen == brute.probability.size());
    MESSAGE("first ", found->suspects[0].probability, ", largest difference ", worst, ", VEGAS ",
            brute.worst_error);
}

// --- a feed connector, a heater and a ground in one loop ---------------------------------------------------

namespace loop {
enum Series { emf, inside, weak, connector, corroded, leak, heater, ring, green };

const std::string series_text = R"(format = 1
name = "one loop"
ground = "b-"
[[part]]
name = "battery"
kind = "battery"
from = "b-"
to = "b+"
emf = "12.6 V"
resistance = "20 mohm"
[[part]]
name = "feed connector"
kind = "connector"
from = "b+"
to = "h+"
resistance = "8 mohm"
[[part]]
name = "heater"
kind = "heater"
from = "h+"
to = "h-"
resistance = "1.2 ohm"
[[part]]
name = "ground"
kind = "ground"
from = "h-"
to = "b-"
resistance = "5 mohm"
)";

constexpr double open_circuit = 1e12;

/// Volts at b+, h+ and h−, amperes of the loop's source and of the heater.
void show_series(const Numbers& n, double* at) {
    const double load = n[heater] + n[ring] + n[green], out = 1 / (1 / load + 1 / n[leak]);
    const double feed = n[connector] + n[corroded], source = n[inside] + n[weak];
    const double amps = n[emf] / (source + feed + out), volts = amps * out;
    at[0] = n[emf] - amps * source;
    at[1] = volts;
    at[2] = volts / load * (n[ring] + n[green]);
    at[3] = amps;
    at[4] = volts / load;
}

BruteCircuit series_circuit() {
    BruteCircuit c;
    c.numbers = {12.6, 0.020, 0, 0.008, 0, open_circuit, 1.2, 0.005, 0};
    c.shares = {0.0075, 0.15, 0, 0.3, 0, 0, 0.05, 0.3, 0};
    const double amps = 12.6 / 1.233, unit = 0.1 / amps, volts = 12.6 - 0.020 * amps;
    c.suspects = {{},
                  sized("battery", "low charge", 4, 0.02, 0.60, false,
                        [](Numbers& n, double share) { n[emf] = rest_volts(share); }),
                  sized("battery", "weak battery", 4, unit, 300 * unit, true, set(weak)),
                  sized("feed connector", "high resistance", 8, unit, 3000 * unit, true, set(corroded)),
                  there_or_not("feed connector", "open", 2, open(corroded, open_circuit)),
                  sized("feed connector", "short to ground", 0.5, 0.01 * volts / amps, 5 * volts / amps, true,
                        set(leak)),
                  there_or_not("heater", "open", 3, open(heater, open_circuit)),
                  sized("ground", "high resistance", 10, unit, 3000 * unit, true, set(green)),
                  there_or_not("ground", "open", 2, open(green, open_circuit))};
    return c;
}

struct SeriesReading {
    Written written;
    int at;
    int minus = -1;
};

void check_series(const std::vector<SeriesReading>& readings, double within = allowed) {
    BruteCircuit c = series_circuit();
    Numbers healthy(5);
    show_series(c.numbers, healthy.data());
    std::vector<Written> written;
    for (const SeriesReading& r : readings) {
        written.push_back(r.written);
        c.readings.push_back(brute(r.written, r.written.quantity == "voltage" ? healthy[0] : healthy[3]));
    }
    c.show = [readings](const Numbers& n, double* shown) {
        double at[5];
        show_series(n, at);
        for (std::size_t k = 0; k < readings.size(); ++k)
            shown[k] = at[readings[k].at] - (readings[k].minus < 0 ? 0 : at[readings[k].minus]);
    };
    compare(series_text, written, c, within);
}

SeriesReading volts(const char* red, const char* black, double value, int at, int minus = -1,
                    double share = 0.005) {
    return {{"run", "voltage", between(red, black), value, 2, "V", share, 2}, at, minus};
}
SeriesReading amps(const char* part, double value, int at) {
    return {{"run", "current", through(part), value, 1, "A", 0.02, 3}, at, -1};
}
} // namespace loop

// --- a wire, a motor and a ground, turning and held
// ---------------------------------------------------------

namespace machine {
enum Number {
    emf,
    inside,
    weak,
    feed,
    corroded,
    leak,
    winding,
    brushes,
    constant,
    load,
    friction,
    drag,
    ring,
    green,
    held
};

constexpr double open_circuit = 1e12, load_speed = 100 * std::numbers::pi; // 3000 rpm

const std::string text = R"(format = 1
name = "motor"
ground = "b-"
[[part]]
name = "battery"
kind = "battery"
from = "b-"
to = "b+"
emf = "12.6 V"
resistance = "20 mohm"
[[part]]
name = "wire"
kind = "wire"
from = "b+"
to = "m+"
resistance = "30 mohm"
tolerance = "0 %"
[[part]]
name = "motor"
kind = "motor"
from = "m+"
to = "m-"
resistance = "0.5 ohm"
constant = "0.03 V s"
load = "linear"
load_torque = "0.18 N m"
load_speed = "3000 rpm"
[[part]]
name = "ground"
kind = "ground"
from = "m-"
to = "b-"
resistance = "5 mohm"
[[state]]
name = "run"
[[state]]
name = "held"
locked = ["motor"]
)";

struct Shown {
    double b_plus, m_plus, m_minus, amps, speed;
};

/// V = R·i + k·ω and k·i = (T/ω₀ + b)·ω + F, behind the source as Thévenin has it with the leak.
Shown show(const Numbers& n, bool locked) {
    const double source = n[inside] + n[weak], before = source + n[feed] + n[corroded];
    const double share = n[leak] / (n[leak] + before), behind = before * share, volts = n[emf] * share;
    const double k = n[constant], back = n[ring] + n[green];
    const double ohms = behind + n[winding] + n[brushes] + back, slope = n[load] / load_speed + n[drag];
    double speed = (volts - ohms * n[friction] / k) / (ohms * slope / k + k);
    double amps = (slope * speed + n[friction]) / k;
    if (locked || n[held] > 0 || speed < 0) speed = 0, amps = volts / ohms;
    const double m_plus = volts - amps * behind;
    return {n[emf] - (amps + m_plus / n[leak]) * source, m_plus, amps * back, amps, speed};
}

BruteCircuit circuit() {
    BruteCircuit c;
    c.numbers = {12.6, 0.020, 0, 0.030, 0, open_circuit, 0.5, 0, 0.03, 0.18, 0, 0, 0.005, 0, 0};
    c.shares = {0.0075, 0.15, 0, 0, 0, 0, 0.04, 0, 0.025, 0.06, 0.1, 0.1, 0.3, 0, 0};
    const double amps = 12.6 / 0.555, unit = 0.1 / amps; // held, the most
    const double leaking = show(c.numbers, false).b_plus / amps;
    c.suspects = {
        {},
        sized("battery", "low charge", 4, 0.02, 0.60, false,
              [](Numbers& n, double share) { n[emf] = rest_volts(share); }),
        sized("battery", "weak battery", 4, unit, 300 * unit, true, set(weak)),
        sized("wire", "high resistance", 1, unit, 3000 * unit, true, set(corroded)),
        there_or_not("wire", "open", 1, open(corroded, open_circuit)),
        sized("wire", "short to ground", 0.5, 0.01 * leaking, 5 * leaking, true, set(leak)),
        sized("motor", "worn brushes", 4, unit, 3000 * unit, true, set(brushes)),
        there_or_not("motor", "open", 2, open(winding, open_circuit)),
        sized("motor", "dragging", 3, 0.3, 5, false,
              [](Numbers& n, double size) { n[friction] = n[load] * size; }),
        there_or_not("motor", "seized", 2, [](Numbers& n) { n[held] = 1; }),
        sized("motor", "running light", 2, 0.0, 0.6, false, [](Numbers& n, double left) { n[load] *= left; }),
        sized("motor", "weak field", 1, 0.15, 0.7, false,
              [](Numbers& n, double lost) { n[constant] *= 1 - lost; }),
        sized("motor", "shorted winding", 1.5, 0.05, 0.5, false,
              [](Numbers& n, double turns) {
                  n[drag] = n[constant] * n[constant] / n[winding] * turns;
                  n[constant] *= 1 - turns;
                  n[winding] *= 1 - turns;
              }),
        sized("motor", "short to ground", 0.5, 0.01 * leaking, 5 * leaking, true, set(leak)),
        sized("ground", "high resistance", 10, unit, 3000 * unit, true, set(green)),
        there_or_not("ground", "open", 2, open(green, open_circuit))};
    return c;
}

struct MotorReading {
    Written written;
    double (*at)(const Shown&);
};

MotorReading volts(const char* state, const char* red, const char* black, double value,
                   double (*at)(const Shown&)) {
    return {{state, "voltage", between(red, black), value, 2, "V", 0.005, 2}, at};
}
MotorReading amps(const char* state, double value) {
    return {{state, "current", through("motor"), value, 1, "A", 0.02, 3},
            [](const Shown& s) { return s.amps; }};
}
MotorReading speed(double value) {
    return {{"run", "speed", through("motor"), value, 0, "rpm", 0.005, 1},
            [](const Shown& s) { return s.speed; }};
}

double at_motor(const Shown& s) { return s.m_plus - s.m_minus; }
double at_battery(const Shown& s) { return s.b_plus; }
double at_frame(const Shown& s) { return s.m_minus; }

void check(const std::vector<MotorReading>& readings, double within = allowed) {
    BruteCircuit c = circuit();
    std::vector<Written> written;
    for (const MotorReading& r : readings) {
        written.push_back(r.written);
        c.readings.push_back(
            brute(r.written, r.written.quantity == "voltage" ? show(c.numbers, false).b_plus : 12.6 / 0.555));
    }
    c.show = [readings](const Numbers& n, double* shown) {
        const Shown run = show(n, false), stalled = show(n, true);
        for (std::size_t k = 0; k < readings.size(); ++k)
            shown[k] = readings[k].at(readings[k].written.state == "run" ? run : stalled);
    };
    compare(text, written, c, within);
}
} // namespace machine

// --- two heaters on one ground
// ------------------------------------------------------------------------------

namespace shared {
enum Number { emf, inside, weak, connector, corroded, leak, first, second, ring, green };

constexpr double open_circuit =
    1e6; // 12 µA: far below any meter here, and the three equations stay well posed

const std::string text = R"(format = 1
name = "two heaters"
ground = "b-"
[[part]]
name = "battery"
kind = "battery"
from = "b-"
to = "b+"
emf = "12.6 V"
resistance = "15 mohm"
[[part]]
name = "connector"
kind = "connector"
from = "b+"
to = "h+"
resistance = "8 mohm"
[[part]]
name = "first heater"
kind = "heater"
from = "h+"
to = "common"
resistance = "1.6 ohm"
[[part]]
name = "second heater"
kind = "heater"
from = "b+"
to = "common"
resistance = "2.4 ohm"
[[part]]
name = "ground"
kind = "ground"
from = "common"
to = "b-"
resistance = "6 mohm"
)";

struct Shown {
    double b_plus, h_plus, common, first_amps, second_amps;
};

/// Kirchhoff's current law at three points, by Cramer's rule.
Shown show(const Numbers& n) {
    const double s = 1 / (n[inside] + n[weak]), c = 1 / (n[connector] + n[corroded]), l = 1 / n[leak];
    const double f = 1 / n[first], g = 1 / n[second], r = 1 / (n[ring] + n[green]);
    const double a11 = s + c + g, a12 = -c, a13 = -g, a22 = c + l + f, a23 = -f, a33 = f + g + r;
    const double m11 = a22 * a33 - a23 * a23, m12 = a12 * a33 - a23 * a13, m13 = a12 * a23 - a22 * a13;
    const double scale = n[emf] * s / (a11 * m11 - a12 * m12 + a13 * m13);
    const double b = scale * m11, h = -scale * m12, common = scale * m13;
    return {b, h, common, (h - common) * f, (b - common) * g};
}

BruteCircuit circuit() {
    BruteCircuit c;
    c.numbers = {12.6, 0.015, 0, 0.008, 0, open_circuit, 1.6, 2.4, 0.006, 0};
    c.shares = {0.0075, 0.15, 0, 0.3, 0, 0, 0.05, 0.05, 0.3, 0};
    const Shown healthy = show(c.numbers);
    const double one = healthy.first_amps, both = one + healthy.second_amps;
    c.suspects = {{},
                  sized("battery", "low charge", 4, 0.02, 0.60, false,
                        [](Numbers& n, double share) { n[emf] = rest_volts(share); }),
                  sized("battery", "weak battery", 4, 0.1 / both, 30 / both, true, set(weak)),
                  sized("connector", "high resistance", 8, 0.1 / one, 300 / one, true, set(corroded)),
                  there_or_not("connector", "open", 2, open(corroded, open_circuit)),
                  sized("connector", "short to ground", 0.5, 0.01 * healthy.b_plus / one,
                        5 * healthy.b_plus / one, true, set(leak)),
                  there_or_not("first heater", "open", 3, open(first, open_circuit)),
                  there_or_not("second heater", "open", 3, open(second, open_circuit)),
                  sized("ground", "high resistance", 10, 0.1 / both, 300 / both, true, set(green)),
                  there_or_not("ground", "open", 2, open(green, open_circuit))};
    return c;
}

struct SharedReading {
    Written written;
    double (*at)(const Shown&);
    double most = 0; ///< filled in
};

SharedReading volts(const char* red, const char* black, double value, double (*at)(const Shown&)) {
    return {{"run", "voltage", between(red, black), value, 2, "V", 0.005, 2}, at};
}
SharedReading amps(const char* part, double value, double (*at)(const Shown&)) {
    return {{"run", "current", through(part), value, 1, "A", 0.02, 3}, at};
}

void check(const std::vector<SharedReading>& readings, double within = allowed) {
    BruteCircuit c = circuit();
    const Shown healthy = show(c.numbers);
    std::vector<Written> written;
    for (const SharedReading& r : readings) {
        written.push_back(r.written);
        c.readings.push_back(
            brute(r.written, r.written.quantity == "voltage" ? healthy.b_plus : r.at(healthy)));
    }
    c.show = [readings](const Numbers& n, double* shown) {
        const Shown at = show(n);
        for (std::size_t k = 0; k < readings.size(); ++k) shown[k] = readings[k].at(at);
    };
    compare(text, written, c, within);
}
} // namespace shared

} // namespace

TEST_CASE("a loop of connector and heater and ground gives the posterior of brute force") {
    // Expected: VEGAS over five tolerances and the size, circuit by Ohm's law. Readings written by hand, from
    // telling next to nothing to telling two faults apart.
    using namespace loop;
    MESSAGE("seed ", seed);
    SUBCASE("one weak reading") { check_series({volts("h+", "b-", 11.6, 1)}); }
    SUBCASE("a current that is low") { check_series({amps("heater", 9.0, 4)}); }
    SUBCASE("low volts across the load") {
        check_series({{{"run", "voltage", between("h+", "h-"), 11.1, 2, "V", 0.005, 2}, 1, 2},
                      amps("heater", 9.1, 4)});
    }
    SUBCASE("a corroded ground, seen from both sides") {
        check_series({volts("h+", "b-", 12.1, 1), volts("h-", "b-", 0.92, 2), amps("heater", 9.4, 4)});
    }
    SUBCASE("a drop between healthy and faulty") {
        check_series({volts("b+", "b-", 12.36, 0), volts("b+", "h+", 0.19, 0, 1)});
    }
    SUBCASE("one reading clashes") {
        check_series({volts("b+", "b-", 12.36, 0), volts("h+", "b-", 12.28, 1), volts("h-", "b-", 4.4, 2),
                      amps("heater", 10.1, 4)});
    }
    SUBCASE("leads swapped") {
        check_series({volts("h-", "b-", -0.92, 2), volts("h+", "b-", 12.2, 1), amps("heater", 9.4, 4)});
    }
    SUBCASE("nothing runs") { check_series({volts("h+", "b-", 12.6, 1), volts("b+", "b-", 12.59, 0)}); }
    SUBCASE("healthy readings") {
        check_series({volts("b+", "b-", 12.4, 0), volts("h+", "b-", 12.31, 1), amps("heater", 10.2, 4)});
    }
}

TEST_CASE("a motor turning and held gives the posterior of brute force") {
    // Expected: VEGAS over six tolerances, that of a fault's own torque, and the size; the motor's two
    // equations are linear with a linear load.
    using namespace machine;
    MESSAGE("seed ", seed);
    SUBCASE("slow") { check({speed(2750)}); }
    SUBCASE("low current, turning") { check({amps("run", 5.2), speed(2950)}); }
    SUBCASE("low current, held") { check({amps("held", 15.2)}); }
    SUBCASE("low current, turning and held, and volts") {
        check({amps("run", 5.3), amps("held", 17.4), volts("held", "m+", "m-", 11.38, at_motor)});
    }
    SUBCASE("high current") { check({amps("run", 8.9), volts("run", "m+", "m-", 12.08, at_motor)}); }
    SUBCASE("does not turn") { check({speed(0), volts("run", "b+", "b-", 12.2, at_battery)}); }
    SUBCASE("the frame stands above ground") {
        check({volts("run", "m-", "b-", 0.31, at_frame), amps("run", 5.7), speed(2930)});
    }
}

TEST_CASE("two heaters on one ground give the posterior of brute force") {
    // Expected: VEGAS over six tolerances and the size, Kirchhoff's current law at three points.
    using namespace shared;
    MESSAGE("seed ", seed);
    const auto across_first = [](const Shown& s) { return s.h_plus - s.common; };
    const auto across_second = [](const Shown& s) { return s.b_plus - s.common; };
    const auto common = [](const Shown& s) { return s.common; };
    const auto first_amps = [](const Shown& s) { return s.first_amps; };
    const auto second_amps = [](const Shown& s) { return s.second_amps; };
    SUBCASE("both weak") {
        check({volts("b+", "common", 11.5, across_second), volts("h+", "common", 11.4, across_first)});
    }
    SUBCASE("one weak") {
        check({amps("first heater", 6.8, first_amps), amps("second heater", 5.0, second_amps)});
    }
    SUBCASE("the common point stands above ground") {
        check({volts("common", "b-", 0.24, common), amps("first heater", 7.4, first_amps)});
    }
    SUBCASE("one cold") {
        check({amps("first heater", 0.0, first_amps), volts("common", "b-", 0.03, common)});
    }
    SUBCASE("one reading clashes") {
        check({volts("common", "b-", 1.6, common), volts("b+", "common", 12.25, across_second),
               amps("first heater", 7.6, first_amps)});
    }
}

TEST_CASE("tolerances taken as straight lines cost up to 0.03 where a load is three deviations out") {
    // Expected: the same brute force. Current goes as 1/R: at −16 % the true curve asks 3.7 standard
    // deviations of a heater's resistance, the slope at nominal 3.2, so that healthy parts are believed too
    // readily. Measured on 2026-11-25: 0.011, 0.015 and 0.023; a known limit in DEVELOPERS.md.
    MESSAGE("seed ", seed);
    SUBCASE("loop") { loop::check_series({loop::amps("heater", 8.6, 4)}, allowed_far_out); }
    SUBCASE("motor") { machine::check({machine::amps("run", 4.6), machine::speed(2900)}, allowed_far_out); }
    SUBCASE("shared ground") {
        shared::check(
            {shared::amps("first heater", 6.4, [](const shared::Shown& s) { return s.first_amps; }),
             shared::amps("second heater", 5.0, [](const shared::Shown& s) { return s.second_amps; })},
            allowed_far_out);
    }
}

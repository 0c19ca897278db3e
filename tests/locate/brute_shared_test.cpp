// Two heaters on one ground: the posterior of `locate` against brute force. Priors, instruments and
// faults as the documents have them, the circuit in closed form; only the files' text, and the answer, are
// shared.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "tests/locate/brute_job.h"

using namespace lostvolts::testing;

namespace {

enum Number { emf, inside, weak, connector, corroded, leak, first, second, ring, green };

constexpr double open_circuit =
    1e6; // 12 µA: far below any meter here, and the three equations stay well posed

const std::string text = circuit_text("12.6 V", "15 mohm",
                                      {{"connector", "connector", "b+", "h+", "8 mohm"},
                                       {"first heater", "heater", "h+", "common", "1.6 ohm"},
                                       {"second heater", "heater", "b+", "common", "2.4 ohm"},
                                       {"ground", "ground", "common", "b-", "6 mohm"}});

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

} // namespace

TEST_CASE("two heaters on one ground give the posterior of brute force") {
    // Expected: VEGAS over six tolerances and the size, Kirchhoff's current law at three points.
    MESSAGE("seed ", brute_seed);
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

TEST_CASE(
    "straight-line tolerances cost a shared ground at most 0.03 where a heater is three deviations out") {
    // Expected: the same brute force; brute_job.h says why the bound is wider.
    MESSAGE("seed ", brute_seed);
    check({amps("first heater", 6.4, [](const Shown& s) { return s.first_amps; }),
           amps("second heater", 5.0, [](const Shown& s) { return s.second_amps; })},
          allowed_far_out);
}

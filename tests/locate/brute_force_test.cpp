// The posterior of `locate` against an independent one: closed-form circuits, priors and instruments as the
// documents have them, GSL's VEGAS over every tolerance and size. Only the files' text, and the answer, are
// shared.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/locate/locate.h"
#include "tests/locate/brute_force.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

constexpr unsigned long seed = 20261125;
constexpr double no_size = 0;

// 0.01 of probability is the target; VEGAS' own error is added four times.
constexpr double allowed = 0.01;

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
    return {std::move(part), std::move(kind), odds, no_size, no_size, false,
            [put = std::move(put)](Numbers& n, double) { put(n); }};
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
        text += fmt::format("[[meter]]\nname = \"m{}\"\naccuracy = \"{} % + {} counts\"\ninput = \"1e6 Mohm\"\n", k,
                            100 * all[k].share, all[k].counts);
    for (std::size_t k = 0; k < all.size(); ++k)
        text += fmt::format("[[reading]]\nstate = \"{}\"\nquantity = \"{}\"\n{}value = \"{:.{}f} {}\"\nmeter = \"m{}\"\n",
                            all[k].state, all[k].quantity, all[k].where, all[k].value, all[k].decimals,
                            all[k].unit, k);
    return text;
}

/// `most` is the largest the healthy circuit has of the quantity: supply volts, or the part's amperes.
BruteReading brute(const Written& w, double most) {
    const double digit = std::pow(10.0, -w.decimals), size = std::abs(w.value);
    const double half = w.share * size + w.counts * digit;
    // Half-width taken as evenly likely, JCGM 100 4.3.7, and the last digit's rounding; spans by weighing.cpp.
    return {w.value, std::sqrt(half * half / 3 + digit * digit / 12),
            w.quantity == "voltage" ? 2.4 * std::max(most, size) : 3 * std::max({most, size, 0.1})};
}

std::string between(const char* red, const char* black) {
    return fmt::format("red = \"{}\"\nblack = \"{}\"\n", red, black);
}
std::string through(const char* part) { return fmt::format("through = \"{}\"\n", part); }

void compare(const std::string& circuit_text, const std::vector<Written>& written,
             const BruteCircuit& brute_circuit) {
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
            at = static_cast<std::size_t>(std::find_if(brute_circuit.suspects.begin(),
                                                       brute_circuit.suspects.end(),
                                                       [&](const BruteSuspect& b) {
                                                           return b.part == part && b.kind == kind;
                                                       }) -
                                          brute_circuit.suspects.begin());
        REQUIRE_MESSAGE((s.unmodelled || at < brute_circuit.suspects.size()), part, " ", kind);
        INFO((s.unmodelled ? "not modelled" : part), " ", kind, ": locate ", s.probability, ", brute force ",
             brute.probability[at]);
        CHECK(std::abs(s.probability - brute.probability[at]) < allowed + 4 * brute.worst_error);
        worst = std::max(worst, std::abs(s.probability - brute.probability[at]));
        ++seen;
    }
    CHECK(seen == brute.probability.size());
    MESSAGE("first ", found->suspects[0].probability, ", largest difference ", worst, ", VEGAS ",
            brute.worst_error);
}

// --- a feed connector, a heater and a ground in one loop ---------------------------------------------------

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
    const auto set = [](int which) { return [which](Numbers& n, double size) { n[static_cast<std::size_t>(which)] = size; }; };
    const auto open = [](int which) { return [which](Numbers& n) { n[static_cast<std::size_t>(which)] = open_circuit; }; };
    c.suspects = {{},
                  sized("battery", "low charge", 4, 0.02, 0.60, false,
                        [](Numbers& n, double share) { n[emf] = rest_volts(share); }),
                  sized("battery", "weak battery", 4, unit, 300 * unit, true, set(weak)),
                  sized("feed connector", "high resistance", 8, unit, 3000 * unit, true, set(corroded)),
                  there_or_not("feed connector", "open", 2, open(corroded)),
                  sized("feed connector", "short to ground", 0.5, 0.01 * volts / amps, 5 * volts / amps, true,
                        set(leak)),
                  there_or_not("heater", "open", 3, open(heater)),
                  sized("ground", "high resistance", 10, unit, 3000 * unit, true, set(green)),
                  there_or_not("ground", "open", 2, open(green))};
    return c;
}

struct SeriesReading {
    Written written;
    int at;
    int minus = -1;
};

void check_series(const std::vector<SeriesReading>& readings) {
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
    compare(series_text, written, c);
}

SeriesReading volts(const char* red, const char* black, double value, int at, int minus = -1,
                    double share = 0.005) {
    return {{"run", "voltage", between(red, black), value, 2, "V", share, 2}, at, minus};
}
SeriesReading amps(const char* part, double value, int at) {
    return {{"run", "current", through(part), value, 1, "A", 0.02, 3}, at, -1};
}

} // namespace

TEST_CASE("a loop of connector and heater and ground gives the posterior of brute force") {
    // Expected: VEGAS over five tolerances and the size, circuit by Ohm's law. Readings written by hand, from
    // telling next to nothing to telling two faults apart.
    MESSAGE("seed ", seed);
    SUBCASE("one weak reading") { check_series({volts("h+", "b-", 11.6, 1)}); }
    SUBCASE("a current that is low") { check_series({amps("heater", 8.6, 4)}); }
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

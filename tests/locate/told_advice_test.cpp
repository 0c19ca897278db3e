// Lamps, ohms and sounds among the next readings: proposed where they tell more a minute, foretold as they
// are weighed once they are given, and never where they could do harm.
#include <doctest/doctest.h>

#include <cmath>
#include <set>

#include <fmt/format.h>

#include "solver/circuit/read.h"
#include "solver/locate/effort.h"
#include "solver/locate/locate.h"
#include "solver/locate/write_readings.h"
#include "solver/network/predict.h"

using namespace lostvolts;

namespace {

// A heater between two connectors. With its plug parted nothing flows, and a meter's ten megohms lose nothing
// in fifty ohms.
constexpr std::string_view heater = R"(format = 1
name = "parted heater"
ground = "b-"
[[part]]
name = "battery"
kind = "battery"
from = "b-"
to = "b+"
emf = "12 V"
resistance = "10 mohm"
[[part]]
name = "feed"
kind = "connector"
from = "b+"
to = "h+"
resistance = "5 mohm"
[[part]]
name = "heater"
kind = "heater"
from = "h+"
to = "h-"
resistance = "2 ohm"
[[part]]
name = "return"
kind = "connector"
from = "h-"
to = "b-"
resistance = "5 mohm"
[[state]]
name = "parted"
removed = ["heater"]
)";

Readings job_of(std::string_view circuit, std::string_view readings) {
    auto read = read_circuit_text(circuit, "c.toml");
    REQUIRE(read);
    auto job =
        read_readings_text(fmt::format("circuit = \"c.toml\"\n{}", readings), "r.toml", *std::move(read));
    for (const Problem& p : job.problems()) MESSAGE(describe(p));
    REQUIRE(job);
    return *std::move(job);
}

std::string volts(std::string_view state, std::string_view red, std::string_view black,
                  std::string_view value) {
    return fmt::format("[[reading]]\nstate = \"{}\"\nquantity = \"voltage\"\nred = \"{}\"\nblack = \"{}\"\n"
                       "value = \"{}\"\n",
                       state, red, black, value);
}

Location found_in(const Readings& job) {
    auto found = locate(job);
    REQUIRE(found);
    return *std::move(found);
}

const NextReading* of(const Location& l, Measurand quantity) {
    for (const NextReading& n : l.next)
        if (n.quantity == quantity) return &n;
    return nullptr;
}

/// Every reading that is proposed, in the list or anywhere in the plan.
std::vector<NextReading> proposed(const Location& l) {
    std::vector<NextReading> all = l.next;
    for (const PlanStep& s : l.plan.steps) all.push_back(s.reading);
    return all;
}

bool is(const Suspect& s, std::string_view part, FaultKind kind, const Circuit& c) {
    return s.faults.size() == 1 && s.faults[0].kind == kind && s.faults[0].part == find_part(c, part);
}

double normal_below(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }

/// Lit, dim and dark of a lamp of 12 V and 5 W behind so many ohms of 12 V: i = 5 W/12 V·(v/12 V)^0.55, and
/// the borders as told.cpp has them, one word in fifty a blunder.
std::array<double, 3> lamp_behind(double ohms) {
    double low = 0, high = 12;
    for (int k = 0; k < 60; ++k) {
        const double v = 0.5 * (low + high);
        (v + ohms * 5 / 12 * std::pow(v / 12, 0.55) < 12 ? low : high) = v;
    }
    const double lit = normal_below((low / 12 - 0.80) / 0.08),
                 shows = std::max(normal_below((low / 12 - 0.25) / 0.06), lit);
    std::array<double, 3> says{lit, shows - lit, 1 - shows};
    for (double& p : says) p = 0.98 * p + 0.02 / 3;
    return says;
}

/// The same for a resistance that may be anything in a range, decade for decade.
std::array<double, 3> lamp_behind_anything(double from, double to) {
    constexpr int steps = 20000;
    std::array<double, 3> sum{};
    for (int k = 0; k < steps; ++k) {
        const auto says = lamp_behind(from * std::pow(to / from, (k + 0.5) / steps));
        for (std::size_t w = 0; w < 3; ++w) sum[w] += says[w] / steps;
    }
    return sum;
}

const std::vector<std::string> bundled{"orchard_sprayer/before_dismantling.toml",
                                       "trailer_lamps/first_look.toml",
                                       "snow_plough_spinner/readings.toml",
                                       "radiator_fan/at_the_relay.toml",
                                       "workboat_bilge/unloaded.toml",
                                       "glasshouse_winch/joint.toml"};

/// The bundled jobs as they are, with none of their meters listed so that a test lamp is at hand, and with
/// nothing read yet; each also with a tester that shows polarity.
std::vector<Readings> many_jobs() {
    std::vector<Readings> jobs;
    for (const std::string& file : bundled) {
        auto job = read_readings(std::string(LOSTVOLTS_SOURCE "/circuits/") + file);
        REQUIRE(job);
        jobs.push_back(*job);
        Readings bare = *job;
        bare.meters.clear();
        for (Reading& r : bare.readings) r.meter = none;
        jobs.push_back(bare);
        bare.readings.resize(std::min<std::size_t>(bare.readings.size(), 1));
        jobs.push_back(bare);
        bare.readings.clear();
        jobs.push_back(bare);
        Meter tester;
        tester.name = "tester";
        tester.lights = tester.shows_polarity = true;
        tester.draws = from_si<Current<>>(0.3);
        bare.meters = {tester};
        jobs.push_back(bare);
    }
    return jobs;
}

} // namespace

TEST_CASE("a lamp is proposed where an unloaded voltmeter can't tell a corroded joint") {
    // Expected, by hand: with the plug parted 12 V stand behind any joint but an open one, so volts tell next
    // to nothing more; a lamp draws 0.4 A through it. The battery would have to come off for an ohmmeter.
    const Readings job = job_of(heater, volts("parted", "h+", "h-", "12.00 V"));
    const Location l = found_in(job);
    REQUIRE_FALSE(l.next.empty());
    const NextReading* lamp = of(l, Measurand::lamp);
    REQUIRE(lamp);
    CHECK(job.circuit.states[static_cast<std::size_t>(lamp->state)].name == "parted");
    for (const NextReading& n : l.next)
        if (n.quantity == Measurand::voltage && n.state == lamp->state) CHECK(n.bits < 0.2 * lamp->bits);
}

TEST_CASE("what a lamp tells is the mutual information of a closed form") {
    // Expected: Σ p(s, w)·log2(p(w|s)/p(w)) with the lamp's volts by its own equation behind 12 V, a joint's
    // ohms even over ln from 0.1 V to 300 V at the 5.94 A that the heater draws (suspects.h), the battery's
    // up to a tenth of that. All others leave the lamp its volts: low charge is bounded by the 12.00 V that
    // were read, a short that leaves them lies beyond the source's 10 mohm, and the heater is out. Odds of
    // the suspects are the answer's own, which brute_*_test.cpp checks. Tolerance: six sizes stand for the
    // range, 0.03.
    const Readings job = job_of(heater, volts("parted", "h+", "h-", "12.00 V"));
    const Location l = found_in(job);
    const std::set ends{find_point(job.circuit, "h+"), find_point(job.circuit, "h-")};
    const auto lamp = std::find_if(l.next.begin(), l.next.end(), [&](const NextReading& n) {
        return n.quantity == Measurand::lamp && std::set{n.red, n.black} == ends;
    });
    REQUIRE(lamp != l.next.end());
    const double unit = 0.1 / 0.02;
    const auto joint = lamp_behind_anything(unit, 3000 * unit),
               cells = lamp_behind_anything(unit, 300 * unit), sound = lamp_behind(0.02);
    std::vector<std::pair<double, std::array<double, 3>>> rivals;
    for (const Outcome& o : lamp->outcomes) {
        const Suspect& s = l.suspects[static_cast<std::size_t>(o.suspect)];
        if (s.faults.size() > 1) continue; // next to no share: nothing speaks for two
        const bool high = is(s, "feed", FaultKind::high_resistance, job.circuit) ||
                          is(s, "return", FaultKind::high_resistance, job.circuit);
        const auto& says = high                                                     ? joint
                           : is(s, "battery", FaultKind::weak_battery, job.circuit) ? cells
                                                                                    : sound;
        CAPTURE(s.faults.empty() ? "nothing" : name_of(s.faults[0].kind));
        for (std::size_t w = 0; w < 3; ++w) CHECK(std::abs(o.says[w] - says[w]) < 0.03);
        rivals.emplace_back(s.probability, says);
    }
    double total = 0, bits = 0;
    std::array<double, 3> word{};
    for (const auto& [p, says] : rivals) total += p;
    for (const auto& [p, says] : rivals)
        for (std::size_t w = 0; w < 3; ++w) word[w] += p / total * says[w];
    for (const auto& [p, says] : rivals)
        for (std::size_t w = 0; w < 3; ++w) bits += p / total * says[w] * std::log2(says[w] / word[w]);
    CHECK(lamp->bits == doctest::Approx(bits).epsilon(0.03));
    CHECK(bits > 0.05);
}

TEST_CASE("once the word is given the suspects are what the outcomes had foretold") {
    // Expected: Bayes' rule, p(w)·p(s|w) = p(s)·p(w|s), and so that over the words the suspects keep their
    // share. Tolerance: a few sizes stand for each range, 0.01 of a suspect and word together.
    int checked = 0;
    const auto probability = [](const Location& l, const Suspect& s) {
        for (const Suspect& o : l.suspects)
            if (o.unmodelled == s.unmodelled &&
                std::equal(o.faults.begin(), o.faults.end(), s.faults.begin(), s.faults.end(),
                           [](const FoundFault& a, const FoundFault& b) {
                               return a.part == b.part && a.kind == b.kind;
                           }))
                return o.probability;
        return 0.0;
    };
    std::vector<Readings> jobs = many_jobs();
    const auto allowed = [](const NextReading& n, double probability) {
        return n.quantity == Measurand::sound ? 0.01 + 0.25 * probability : 0.01;
    };
    jobs.push_back(job_of(heater, volts("parted", "h+", "h-", "12.00 V")));
    for (const Readings& job : jobs) {
        const auto before = locate(job, AtMost::one);
        REQUIRE(before);
        for (const NextReading& n : before->next) {
            if (n.outcomes.empty() || chance_of_number(n.outcomes.front().says) > 0) continue;
            INFO(job.circuit.name, ": ", name_of(n.quantity), " with ", job.readings.size(), " readings");
            std::vector<double> kept(before->suspects.size(), 0.0);
            std::array<double, most_words> word{};
            double total = 0;
            for (const Outcome& o : n.outcomes) {
                const double p = before->suspects[static_cast<std::size_t>(o.suspect)].probability;
                total += p;
                for (std::size_t w = 0; w < most_words; ++w) word[w] += p * o.says[w];
            }
            for (std::size_t w = 0; w < most_words; ++w) {
                if (word[w] / total < 1e-6) continue;
                Readings then = job;
                Reading r;
                r.state = n.state;
                r.quantity = n.quantity;
                r.red = n.red;
                r.black = n.black;
                r.through = n.through;
                r.meter = n.meter;
                r.value = static_cast<double>(w);
                then.readings.push_back(r);
                const auto after = locate(then, AtMost::one, Advising::no);
                REQUIRE(after);
                double modelled = 0;
                for (const Suspect& s : after->suspects)
                    if (!s.unmodelled) modelled += s.probability;
                for (const Outcome& o : n.outcomes) {
                    const auto k = static_cast<std::size_t>(o.suspect);
                    const Suspect& s = before->suspects[k];
                    const double share = probability(*after, s) / modelled;
                    kept[k] += word[w] / total * share;
                    CHECK(std::abs(word[w] * share - s.probability * o.says[w]) <
                          allowed(n, s.probability) * total);
                }
                ++checked;
            }
            for (const Outcome& o : n.outcomes) {
                const auto k = static_cast<std::size_t>(o.suspect);
                CHECK(std::abs(kept[k] - before->suspects[k].probability / total) <
                      2 * allowed(n, before->suspects[k].probability));
            }
        }
    }
    CHECK(checked > 10);
}

TEST_CASE("whatever is proposed can be typed as it is proposed") {
    // Expected: a reading with the proposal's own words and any value of its kind is taken, whatever the job.
    int told = 0, ohms = 0;
    for (const Readings& job : many_jobs()) {
        const Circuit& c = job.circuit;
        const Location l = found_in(job);
        for (const NextReading& n : proposed(l)) {
            const auto name = [](const auto& all, int id) {
                return id == none ? std::string() : all[static_cast<std::size_t>(id)].name;
            };
            WrittenReading w;
            w.state = name(c.states, n.state);
            w.quantity = name_of(n.quantity);
            w.red = name(c.points, n.red);
            w.black = name(c.points, n.black);
            w.through = name(c.parts, n.through);
            std::vector<std::string> values;
            if (n.quantity == Measurand::resistance) values = {"open", "1.2 ohm"}, ++ohms;
            if (n.quantity == Measurand::voltage) values = {"1.2 V"};
            if (n.quantity == Measurand::current) values = {"1.2 A"};
            if (n.quantity == Measurand::speed) values = {"1200 rpm"};
            for (const Outcome& o : n.outcomes)
                if (const auto word = o.word(); word && n.quantity != Measurand::resistance)
                    values.emplace_back(words_of(n.quantity)[static_cast<std::size_t>(*word)]), ++told;
            std::string meters;
            for (const Meter& m : job.meters)
                meters += fmt::format("[[meter]]\nname = \"{}\"\n{}", m.name,
                                      m.shows_polarity ? "light = \"LED\"\n" : "");
            if (n.meter != none) w.meter = name(job.meters, n.meter);
            for (const std::string& value : values) {
                w.value = value;
                const auto read =
                    read_readings_text(add_reading(first_lines("c.toml") + meters, w), "r.toml", c);
                INFO(c.name, ": ", w.quantity, " ", value);
                for (const Problem& p : read.problems()) MESSAGE(describe(p));
                CHECK(read);
            }
        }
    }
    CHECK(told > 10);
    CHECK(ohms > 0);
}

TEST_CASE("ohms are never proposed where something is switched on") {
    // Expected: what predict says of the sound circuit in that state: no source gives a milliampere.
    int ohms = 0;
    for (const Readings& job : many_jobs()) {
        const Location l = found_in(job);
        const auto predicted = predict(analyse(std::make_shared<const Circuit>(job.circuit)));
        REQUIRE(predicted);
        for (const NextReading& n : proposed(l)) {
            if (n.quantity != Measurand::resistance) continue;
            ++ohms;
            for (const StatePrediction& s : *predicted)
                for (const PartResult& r : s.parts)
                    if (s.state == n.state &&
                        is_source(job.circuit.parts[static_cast<std::size_t>(r.part)].law))
                        CHECK(std::abs(si(r.current)) < 1e-3);
        }
    }
    CHECK(ohms > 0);
}

TEST_CASE("an ohmmeter costs the minutes of taking every source off, once") {
    // Expected, by hand: half a minute to read and two for the battery's lead; then half a minute; and two
    // more before the next volts.
    const Readings job = job_of(heater, "");
    const Circuit& c = job.circuit;
    Standing at = standing_of(job);
    at.state = find_state(c, "parted");
    const Prospect ohms{at.state, Measurand::resistance, find_point(c, "b+"), find_point(c, "h+"), none};
    Prospect more = ohms;
    more.quantity = Measurand::voltage;
    CHECK(minutes_to_take(c, at, more) == doctest::Approx(2.5));
    CHECK(minutes_to_take(c, at, ohms) == doctest::Approx(5.5));
    take(at, ohms);
    CHECK(minutes_to_take(c, at, ohms) == doctest::Approx(0.5));
    CHECK(minutes_to_take(c, at, more) == doctest::Approx(2.5));
}

TEST_CASE("a lamp is asked for only of somebody who has one") {
    // Expected: toolbox.h. A listed multimeter alone is no lamp; one that is told to light up is; a sound
    // needs nothing.
    const std::string read = volts("parted", "h+", "h-", "12.00 V");
    CHECK(of(found_in(job_of(heater, read)), Measurand::lamp));
    CHECK_FALSE(
        of(found_in(job_of(heater, "[[meter]]\nname = \"multimeter\"\nresolution = \"0.01 V\"\n" + read)),
           Measurand::lamp));
    const Readings tester =
        job_of(heater, "[[meter]]\nname = \"tester\"\nlight = \"LED\"\ndraws = \"0.3 A\"\n" + read);
    const Location with_tester = found_in(tester);
    const NextReading* asked = of(with_tester, Measurand::lamp);
    REQUIRE(asked);
    CHECK(asked->meter == 0);
    CHECK(asked->red == find_point(tester.circuit, "h+")); // the higher side: else it would show "reversed"
}

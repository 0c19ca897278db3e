// Faults that the readings can't tell apart by how the circuit is joined up: what one says of them, the
// others say too, alone and with any other fault beside them.
#include <doctest/doctest.h>

#include <map>

#include "solver/circuit/read.h"
#include "solver/locate/alike.h"
#include "solver/locate/evidence.h"
#include "tests/locate/random_job.h"
#include "tests/network/times.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

struct Grouping {
    explicit Grouping(const Readings& job)
        : network(analyse(std::make_shared<const Circuit>(job.circuit))), prepared(prepare(network, job)) {
        if (!prepared) return;
        singles = single_faults(network, prepared->typical_amps, prepared->typical_volts);
        alike = alike_of(*prepared, singles);
    }
    const Hypothesis& single(int k) const { return singles[static_cast<std::size_t>(k)]; }

    Network network;
    Result<Weighing> prepared;
    std::vector<Hypothesis> singles;
    Alike alike;
};

/// By how much two predictions differ, in standard deviations of the instruments; 1e300 when only one works.
double apart(Weighing& w, const std::vector<Fault>& a, const std::vector<Fault>& b) {
    const auto p = predict_readings(w, a), q = predict_readings(w, b);
    if (!p || !q) return static_cast<bool>(p) == static_cast<bool>(q) ? 0 : 1e300;
    double most = 0;
    for (Eigen::Index i = 0; i < p->mean.size(); ++i) {
        most = std::max(most, std::abs(p->mean[i] - q->mean[i]) / std::sqrt(w.measured.variance[i]));
        for (Eigen::Index j = 0; j < p->mean.size(); ++j)
            most = std::max(most, std::abs(p->tolerance(i, j) - q->tolerance(i, j)) /
                                      std::sqrt(w.measured.variance[i] * w.measured.variance[j]));
    }
    for (Eigen::Index i = 0; i < p->told.size(); ++i)
        most = std::max(most, std::abs(p->told[i] - q->told[i]) / (1 + std::abs(p->told[i])));
    return most;
}

Fault fault_at(const Hypothesis& h, double place) { return faults_at(h, place).front(); }

} // namespace

/// What one job's groups were held against.
struct Tally {
    int grouped = 0, idle = 0, pairs = 0;
    double worst = 0;

    void hold(const Readings& job, Random& random);
};

void Tally::hold(const Readings& job, Random& random) {
    Grouping g(job);
    REQUIRE(g.prepared);
    Weighing& w = *g.prepared;
    const double place = 0.05 + 0.1 * below(random, 10), beside = 0.05 + 0.1 * below(random, 10);
    for (int k = 1; k < static_cast<int>(g.singles.size()); ++k) {
        const int speaker = g.alike.speaker[static_cast<std::size_t>(k)];
        const std::vector<Fault> faults{fault_at(g.single(k), place)};
        INFO(job.circuit.name, ", part ", faults[0].part, " as ", speaker);
        if (g.alike.idle[static_cast<std::size_t>(k)] != 0)
            ++idle, worst = std::max(worst, apart(w, faults, {}));
        else if (speaker != k)
            ++grouped, worst = std::max(worst, apart(w, faults, {fault_at(g.single(speaker), place)}));
        REQUIRE(worst < 1e-4);
    }
    std::map<PairKey, std::array<int, 2>> first;
    for (std::array<int, 2> pair : pairs_of(g.singles)) {
        const PairKey key = key_of(g.alike, pair);
        const auto [at, fresh] = first.try_emplace(key, pair);
        const bool one_idle = key.idle[0] || key.idle[1];
        if ((fresh && !one_idle) || below(random, 4) > 0) continue; // a quarter of them
        const auto faults = [&](std::array<int, 2> of) {
            return std::vector<Fault>{fault_at(g.single(of[0]), place), fault_at(g.single(of[1]), beside)};
        };
        std::vector<Fault> other = faults(one_idle ? pair : at->second);
        if (key.idle[1]) other.pop_back(); // as the one that shows, by itself
        if (key.idle[0]) other.erase(other.begin());
        ++pairs;
        worst = std::max(worst, apart(w, faults(pair), other));
        INFO(job.circuit.name, ", parts ", g.single(pair[0]).faults[0].part, " and ",
             g.single(pair[1]).faults[0].part);
        REQUIRE(worst < 1e-4);
    }
}

// Expected, in both: the circuit's own answer for each. Tolerance: a ten-thousandth of an instrument's
// deviation, what two ways of rounding a working point with megohms beside milliohms leave.
TEST_CASE("faults of one group read alike in random circuits, with any other fault beside them") {
    constexpr std::uint64_t seed = 20261201;
    Random random(seed);
    Tally tally;
    for (int job = 0; job < times(30); ++job) {
        JobRequest q;
        q.family = families[static_cast<std::size_t>(job) % families.size()];
        q.size = 8 + below(random, 30);
        q.readings = 1 + below(random, 8);
        tally.hold(random_job(random, q).readings, random);
    }
    MESSAGE("seed ", seed, ": ", tally.grouped, " singles and ", tally.pairs,
            " pairs held against their group's first; apart by ", tally.worst, " deviations at most");
    CHECK(tally.grouped > 100);
    CHECK(tally.pairs > 1000);
}

TEST_CASE(
    "faults of one group read alike in the bundled jobs, and those that show nowhere as nothing wrong") {
    constexpr std::uint64_t seed = 20261202;
    Random random(seed);
    Tally tally;
    for (const char* file :
         {"snow_plough_spinner/readings.toml", "snow_plough_spinner/resistance.toml",
          "trailer_lamps/first_look.toml", "trailer_lamps/readings.toml", "workboat_bilge/unloaded.toml",
          "orchard_sprayer/before_dismantling.toml", "radiator_fan/at_the_relay.toml"}) {
        const auto job = read_readings(std::string(LOSTVOLTS_SOURCE "/circuits/") + file);
        REQUIRE(job);
        tally.hold(*job, random);
    }
    MESSAGE("seed ", seed, ": ", tally.grouped, " singles and ", tally.pairs,
            " pairs held against their group's first, ", tally.idle, " that show nowhere; apart by ",
            tally.worst, " deviations at most");
    CHECK(tally.grouped > 50);
    CHECK(tally.idle > 10);
    CHECK(tally.pairs > 1000);
}

TEST_CASE("a lead, a branch or a short between two joints tells them apart") {
    // Expected, by hand: of five joints in a row a lead stands after the second, so two groups; the lamp
    // switched off shows nowhere until a short feeds it.
    auto circuit = read_circuit_text(R"(format = 1
name = "row"
ground = "g"
[[part]]
name = "battery"
kind = "battery"
from = "g"
to = "p0"
emf = "12 V"
[[part]]
name = "a"
kind = "connector"
from = "p0"
to = "p1"
[[part]]
name = "b"
kind = "connector"
from = "p1"
to = "p2"
[[part]]
name = "c"
kind = "connector"
from = "p2"
to = "p3"
[[part]]
name = "d"
kind = "connector"
from = "p3"
to = "p4"
[[part]]
name = "heater"
kind = "heater"
from = "p4"
to = "p5"
resistance = "2 ohm"
[[part]]
name = "e"
kind = "connector"
from = "p5"
to = "g"
[[part]]
name = "lamp switch"
kind = "switch"
from = "p0"
to = "p6"
[[part]]
name = "lamp feed"
kind = "connector"
from = "p6"
to = "p7"
[[part]]
name = "lamp"
kind = "heater"
from = "p7"
to = "g"
resistance = "3 ohm"
[[state]]
name = "on"
[[state]]
name = "lamp on"
closed = ["lamp switch"]
)",
                                     "row");
    REQUIRE(circuit);
    Readings job;
    job.circuit = *circuit;
    for (const char* red : {"p0", "p2"}) {
        Reading r;
        r.red = find_point(job.circuit, red);
        r.black = job.circuit.ground;
        r.resolution = 1e-3;
        r.value = 12;
        job.readings.push_back(r);
    }
    const Grouping g(job);
    REQUIRE(g.prepared);
    const auto index = [&](const char* part, FaultKind kind) {
        for (std::size_t k = 1; k < g.singles.size(); ++k)
            if (g.singles[k].faults[0].part == find_part(job.circuit, part) &&
                g.singles[k].faults[0].kind == kind)
                return static_cast<int>(k);
        FAIL("no such single fault");
        return none;
    };
    const auto group = [&](const char* part) {
        return g.alike.group[static_cast<std::size_t>(index(part, FaultKind::high_resistance))];
    };
    CHECK(group("a") == group("b"));
    CHECK(group("b") != group("c"));
    CHECK(group("c") == group("d"));
    CHECK(group("d") == group("e")); // the heater between them makes no difference
    CHECK(g.alike.idle[static_cast<std::size_t>(index("lamp feed", FaultKind::high_resistance))]);
    CHECK(g.alike.idle[static_cast<std::size_t>(index("lamp", FaultKind::open))]);

    const auto key = [&](const char* part, const char* shorted) {
        std::array<int, 2> pair{index(part, FaultKind::high_resistance),
                                index(shorted, FaultKind::short_to_ground)};
        return key_of(g.alike, pair);
    };
    CHECK(key("c", "c") != key("d", "c")); // the short is between them
    CHECK(key("d", "c") == key("e", "c"));
    CHECK(key("a", "c") == key("b", "c"));
    const PairKey woken = key("lamp feed", "lamp feed");
    CHECK_FALSE(woken.idle[0]);
}

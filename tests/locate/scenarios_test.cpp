// The bundled circuits' readings: the verdict that each folder's README promises, and that the written values
// are those of the stated condition.
#include <doctest/doctest.h>

#include <cmath>
#include <set>

#include "solver/locate/locate.h"
#include "solver/locate/weighing.h"

namespace lostvolts {
namespace {

struct Job {
    std::string file;
    std::string condition;
    Verdict verdict;
    std::set<std::string>
        parts; ///< those that the readings can't tell apart; the faulty one alone when located
};

const std::vector<Job>& jobs() {
    static const std::vector<Job> all{
        {"orchard_sprayer/readings.toml", "corroded pump ground", Verdict::located, {"pump ground"}},
        {"orchard_sprayer/before_dismantling.toml",
         "corroded pump ground",
         Verdict::narrowed,
         {"pump ground", "tank connector, feed pin", "tank connector, ground pin", "rinse pump", "feed wire",
          "ground wire"}},
        {"workboat_bilge/readings.toml", "green feed splice", Verdict::located, {"feed splice"}},
        {"snow_plough_spinner/worn.toml", "worn brushes", Verdict::located, {"spinner motor"}},
        {"snow_plough_spinner/resistance.toml",
         "corroded tail pin",
         Verdict::located,
         {"tail connector, feed pin"}},
        {"snow_plough_spinner/little_salt.toml",
         "little salt on the disc",
         Verdict::located,
         {"spinner motor"}},
        {"snow_plough_spinner/readings.toml",
         "corroded tail pin",
         Verdict::narrowed,
         {"battery ground", "tail connector, feed pin", "tail connector, return pin", "spinner relay",
          "spinner motor", "breaker", "main cable", "rear cable", "return cable"}},
        {"trailer_lamps/readings.toml", "green ground pin", Verdict::located, {"plug, ground pin"}},
        {"trailer_lamps/first_look.toml",
         "green ground pin",
         Verdict::narrowed,
         {"trailer ground splice", "plug, ground pin", "white wire", "socket ground wire"}},
        {"radiator_fan/readings.toml",
         "green thermostat connector",
         Verdict::located,
         {"thermostat connector"}},
        {"radiator_fan/at_the_relay.toml",
         "green thermostat connector",
         Verdict::narrowed,
         {"thermostat connector", "thermostat switch", "ignition switch", "ignition fuse", "thermostat wire",
          "coil feed wire"}},
        {"glasshouse_winch/readings.toml", "low charge", Verdict::located, {"battery"}},
        {"glasshouse_winch/joint.toml",
         "white powder in the roof joint",
         Verdict::located,
         {"feed joint, roof"}},
    };
    return all;
}

Readings read(const std::string& file) {
    auto job = read_readings(std::string(LOSTVOLTS_SOURCE "/circuits/") + file);
    for (const Problem& problem : job.problems()) MESSAGE(describe(problem));
    REQUIRE(job);
    return *job;
}

const std::vector<Fault>& faults_of(const Circuit& c, const std::string& condition) {
    const int k = find_condition(c, condition);
    REQUIRE(k != none);
    return c.conditions[static_cast<std::size_t>(k)].faults;
}

/// Every reading as the condition gives it, within the accuracy that the file states for its meter.
void check_values(const Readings& job, const std::string& condition) {
    const Network network = analyse(std::make_shared<const Circuit>(job.circuit));
    Workspace work;
    for (std::size_t i = 0; i < job.readings.size(); ++i) {
        const Reading& r = job.readings[i];
        Setup setup = set_up(network, r.state, faults_of(job.circuit, condition));
        Operating at;
        REQUIRE_FALSE(operate(network, setup, work, at));
        const Probe probe = probe_of(job, r);
        const double exact = read_probes(network, setup, at, work, std::span(&probe, 1)).front();
        REQUIRE(r.meter != none);
        const Meter& meter = job.meters[static_cast<std::size_t>(r.meter)];
        const double allowed = meter.accuracy.share * std::abs(exact) + meter.accuracy.counts * r.resolution;
        INFO("reading ", i, " written ", r.text, " exact ", exact);
        CHECK(std::abs(r.value - exact) <= allowed);
    }
}

} // namespace

TEST_CASE("each bundled job gives the verdict and the parts that its README names") {
    // Expected: the fault that the values were computed with (the files' last lines), and for the short jobs
    // the parts in series with it that no reading lies between, by the drawing.
    for (const Job& expected : jobs()) {
        INFO(expected.file);
        const Readings job = read(expected.file);
        const auto found = locate(job);
        REQUIRE(found);
        CHECK(name_of(found->verdict) == name_of(expected.verdict));
        const Fault& truth = faults_of(job.circuit, expected.condition).front();

        std::set<std::string> named;
        bool true_one = false;
        for (const int s : found->group) {
            const auto& faults = found->suspects[static_cast<std::size_t>(s)].faults;
            if (faults.empty()) continue;
            named.insert(job.circuit.parts[static_cast<std::size_t>(faults.front().part)].name);
            true_one |= faults.front().part == truth.part && faults.front().kind == truth.kind;
        }
        for (const std::string& name : named) {
            INFO("named: ", name);
            CHECK(expected.parts.contains(name));
        }
        double together = 0;
        for (const Suspect& suspect : found->suspects)
            if (!suspect.faults.empty() &&
                expected.parts.contains(
                    job.circuit.parts[static_cast<std::size_t>(suspect.faults.front().part)].name))
                together += suspect.probability;
        CHECK(together >= 0.9);
        CHECK(true_one);
        if (expected.verdict != Verdict::located) continue;
        const Suspect& first = found->suspects.front();
        REQUIRE(first.faults.size() == 1);
        CHECK(first.faults.front().part == truth.part);
        CHECK(name_of(first.faults.front().kind) == name_of(truth.kind));
        INFO("size ", truth.size, " found ", first.faults.front().low, " ... ", first.faults.front().high);
        CHECK(first.faults.front().low <= truth.size);
        CHECK(truth.size <= first.faults.front().high);
        // No reading was taken wrongly.
        for (const ReadingCheck& check : found->readings) {
            INFO("reading ", check.index, " measured ", check.measured, " expected ", check.expected);
            CHECK_FALSE(check.suspect_reading);
        }
    }
}

TEST_CASE("written readings are those of their condition within the meter's accuracy") {
    // Expected: predict's own values under the condition that the file's last lines name.
    for (const Job& job : jobs()) {
        INFO(job.file);
        check_values(read(job.file), job.condition);
    }
    check_values(read("workboat_bilge/unloaded.toml"), "green feed splice");
}

TEST_CASE("an unloaded circuit decides nothing and the next reading loads it") {
    // Expected, by hand: with the pump unplugged only 10 Mohm of meter draw current, 1.26 uA, so that any
    // series resistance drops microvolts. No verdict can follow. The pump has to run.
    const Readings job = read("workboat_bilge/unloaded.toml");
    const auto found = locate(job);
    REQUIRE(found);
    CHECK(name_of(found->verdict) == name_of(Verdict::narrowed));
    CHECK(found->suspects.front().probability < 0.25);
    REQUIRE_FALSE(found->next.empty());
    const State& next = job.circuit.states[static_cast<std::size_t>(found->next.front().state)];
    const PartId pump = find_part(job.circuit, "bilge pump");
    CHECK(std::find(next.removed.begin(), next.removed.end(), pump) == next.removed.end());
    CHECK_FALSE(next.closed.empty());
}

TEST_CASE("the same low run current is told apart by drops and by holding the rotor") {
    // Expected: equal resistance inside the motor and outside it gives equal currents; the readings files are
    // computed so. Only the drops differ. With less to do the current is low too, but not at stall.
    const Readings worn = read("snow_plough_spinner/worn.toml");
    const Readings resistance = read("snow_plough_spinner/resistance.toml");
    const Readings light = read("snow_plough_spinner/little_salt.toml");
    const auto value = [](const Readings& job, const char* state, Measurand quantity, const char* red) {
        for (const Reading& r : job.readings)
            if (job.circuit.states[static_cast<std::size_t>(r.state)].name == state &&
                r.quantity == quantity &&
                (quantity != Measurand::voltage || r.red == find_point(job.circuit, red)))
                return r.value;
        return std::nan("");
    };
    const double run = value(worn, "run", Measurand::current, "");
    CHECK(value(resistance, "run", Measurand::current, "") == run);
    CHECK(value(light, "run", Measurand::current, "") == run);
    CHECK(value(resistance, "stall", Measurand::current, "") == value(worn, "stall", Measurand::current, ""));
    CHECK(value(light, "stall", Measurand::current, "") > 3 * value(worn, "stall", Measurand::current, ""));
    CHECK(value(worn, "run", Measurand::voltage, "motor +") >
          value(resistance, "run", Measurand::voltage, "motor +") + 8);
}

TEST_CASE("equal parts are named together or not at all") {
    // Expected, by the drawing: the sprayer's two pins and its two wires lie in one loop that no reading
    // divides, so that each kind's two have one evidence and one prior.
    const Readings job = read("orchard_sprayer/before_dismantling.toml");
    const auto found = locate(job);
    REQUIRE(found);
    const auto named = [&](const char* part) {
        return std::any_of(found->group.begin(), found->group.end(), [&](int k) {
            const auto& faults = found->suspects[static_cast<std::size_t>(k)].faults;
            return faults.size() == 1 && faults[0].part == find_part(job.circuit, part) &&
                   faults[0].kind == FaultKind::high_resistance;
        });
    };
    CHECK(named("tank connector, feed pin"));
    CHECK(named("tank connector, feed pin") == named("tank connector, ground pin"));
    CHECK(named("feed wire") == named("ground wire"));
}

TEST_CASE("readings that no two faults explain are contradictory") {
    // Expected, by Kirchhoff's voltage law: the drops along the sprayer's loop can't sum to more than the
    // battery gives, and its motor can't draw more than its stall current.
    Readings job = read("orchard_sprayer/readings.toml");
    job.readings[2].value = 5.2; // battery + to relay 87
    job.readings[3].value = 31;  // amperes, bridged
    job.readings[6].value = 7.9; // pump - to battery -
    job.readings[7].value = 0.9;
    job.readings[9].value = 2; // amperes, stall
    const auto found = locate(job);
    REQUIRE(found);
    CHECK(name_of(found->verdict) == name_of(Verdict::contradictory));
}

} // namespace lostvolts

// Two faults at once: the estimate from what each reads alone, the bound that passes pairs over, the integral
// over both sizes, and what comes out of it all.
#include <doctest/doctest.h>

#include <cmath>
#include <map>
#include <random>

#include "solver/circuit/read.h"
#include "solver/locate/locate.h"
#include "solver/locate/pairs.h"
#include "solver/locate/two_sizes.h"
#include "solver/locate/unmodelled.h"

namespace lostvolts {
namespace {

Readings read(const std::string& file) {
    auto job = read_readings(std::string(LOSTVOLTS_SOURCE "/circuits/") + file);
    for (const Problem& problem : job.problems()) MESSAGE(describe(problem));
    REQUIRE(job);
    return *job;
}

Fault fault_of(const Circuit& c, const char* part, FaultKind kind, double size) {
    const PartId p = find_part(c, part);
    REQUIRE(p != none);
    return {p, kind, size};
}

/// The same instruments in the same places, showing what the circuit reads with these faults in, rounded to
/// their last digit.
Readings under(Readings job, const std::vector<Fault>& faults) {
    const Network network = analyse(std::make_shared<const Circuit>(job.circuit));
    Workspace work;
    Operating at;
    for (Reading& r : job.readings) {
        Setup setup = set_up(network, r.state, faults);
        REQUIRE_FALSE(operate(network, setup, work, at));
        const Probe probe = probe_of(job, r);
        const double exact = read_probes(network, setup, at, work, std::span(&probe, 1)).front();
        r.value = std::round(exact / r.resolution) * r.resolution;
        r.text.clear();
    }
    return job;
}

/// A job on the table: singles judged and refined.
struct Table {
    explicit Table(const Readings& readings)
        : job(readings), network(analyse(std::make_shared<const Circuit>(job.circuit))) {
        auto prepared = prepare(network, job);
        REQUIRE(prepared);
        w = *prepared;
        w.network = &network;
        w.job = &job;
        for (const Hypothesis& h : single_faults(network, w.typical_amps, w.typical_volts)) {
            hypotheses.push_back(h);
            singles.push_back(predict_sizes(w, h));
        }
        double leader = judge(w, singles, -1e300);
        for (Evidence& e : singles) {
            refine(w, e, leader);
            for (const Tried& t : e.tried)
                leader = std::max(leader, e.hypothesis.log_prior + t.log_likelihood);
        }
        for (const Evidence& e : singles) most = std::max(most, e.log_weight());
        double sum =
            std::exp(std::log(prior_unmodelled) +
                     weigh_unmodelled(w.measured, best_of(singles.front()).predicted).log_evidence - most);
        for (const Evidence& e : singles) sum += std::exp(e.log_weight() - most);
        log_total = most + std::log(sum);
    }

    /// Probability of every single (by its index twice) and every pair; those passed over have none.
    std::map<std::array<int, 2>, double> posterior(const PairStudy& study) const {
        std::map<std::array<int, 2>, double> all;
        double total = std::exp(log_total - most);
        for (const WeighedPair& p : study.weighed) {
            const double weight = std::exp(p.log_weight() - most);
            all[{std::min(p.singles[0], p.singles[1]), std::max(p.singles[0], p.singles[1])}] = weight;
            total += weight;
        }
        for (int s = 0; s < static_cast<int>(singles.size()); ++s)
            all[{s, s}] = std::exp(singles[static_cast<std::size_t>(s)].log_weight() - most);
        for (auto& [key, p] : all) p /= total;
        return all;
    }

    Readings job;
    Network network;
    Weighing w;
    std::vector<Hypothesis> hypotheses;
    std::vector<Evidence> singles;
    double most = -1e300, log_total = 0;
};

/// ln ∫∫ p(readings | sizes), by Simpson's rule on a grid of the circuit's own predictions.
double on_a_grid(Weighing& w, const Hypothesis& h, int sides) {
    std::vector<double> all;
    double most = -1e300;
    const auto weight = [&](int k) { return k == 0 || k == sides ? 1.0 : k % 2 == 1 ? 4.0 : 2.0; };
    for (int i = 0; i <= sides; ++i)
        for (int j = 0; j <= sides; ++j) {
            const auto predicted = predict_readings(
                w, faults_at(h, static_cast<double>(i) / sides, static_cast<double>(j) / sides));
            const double log_p = predicted ? log_likelihood(w.measured, *predicted) : -1e300;
            all.push_back(log_p + std::log(weight(i) * weight(j)));
            most = std::max(most, all.back());
        }
    double sum = 0;
    for (const double l : all) sum += std::exp(l - most);
    return most + std::log(sum) - std::log(9.0 * sides * sides);
}

int index_of(const Table& t, const char* part, FaultKind kind) {
    const PartId p = find_part(t.job.circuit, part);
    for (std::size_t k = 0; k < t.hypotheses.size(); ++k)
        if (!t.hypotheses[k].faults.empty() && t.hypotheses[k].faults.front().part == p &&
            t.hypotheses[k].faults.front().kind == kind)
            return static_cast<int>(k);
    FAIL("no such single fault: ", part);
    return none;
}

Hypothesis pair_of(const Table& t, int a, int b) {
    return both(t.hypotheses[static_cast<std::size_t>(a)], t.hypotheses[static_cast<std::size_t>(b)],
                log_odds_of_pairs(t.hypotheses, pairs_of(t.hypotheses)));
}

void check_first(const Readings& job, const std::vector<Fault>& truth) {
    const auto found = locate(job);
    REQUIRE(found);
    const Suspect& first = found->suspects.front();
    REQUIRE(first.faults.size() == 2);
    CHECK(name_of(found->verdict) == name_of(Verdict::located));
    for (const Fault& fault : truth) {
        const auto told = std::find_if(first.faults.begin(), first.faults.end(), [&](const FoundFault& f) {
            return f.part == fault.part && f.kind == fault.kind;
        });
        INFO(std::string(name_of(fault.kind)), " ", fault.size,
             " first: ", std::string(name_of(first.faults[0].kind)), " and ",
             std::string(name_of(first.faults[1].kind)));
        REQUIRE(told != first.faults.end());
        INFO(told->low, " ... ", told->high);
        CHECK(told->low <= fault.size);
        CHECK(fault.size <= told->high);
    }
    double sum = 0;
    for (const Suspect& s : found->suspects) sum += s.probability;
    CHECK(sum == doctest::Approx(1).epsilon(2e-3));
    MESSAGE(job.circuit.name, ": the true pair ", first.probability, " of ", found->suspects.size(),
            " listed");
}

} // namespace

TEST_CASE("a corroded ground and a weak battery together come first") {
    // Expected: the two faults that the readings were computed with. The drops tell the ground; the battery's
    // own volts at run and at stall tell a weak one from a low one.
    Readings job = read("orchard_sprayer/readings.toml");
    Reading held = job.readings.front(); // the battery's volts, once more with the rotor held
    for (const Reading& r : job.readings)
        if (job.circuit.states[static_cast<std::size_t>(r.state)].name == "stall") held.state = r.state;
    job.readings.push_back(held);
    const std::vector<Fault> truth{fault_of(job.circuit, "pump ground", FaultKind::high_resistance, 0.18),
                                   fault_of(job.circuit, "battery", FaultKind::weak_battery, 0.09)};
    check_first(under(job, truth), truth);
}

TEST_CASE("a bad feed connector and worn brushes together come first") {
    // Expected: the two faults that the readings were computed with. The pin's own drop is read; what is left
    // of the low current at stall is the motor's.
    const Readings job = read("snow_plough_spinner/resistance.toml");
    const std::vector<Fault> truth{
        fault_of(job.circuit, "tail connector, feed pin", FaultKind::high_resistance, 0.8),
        fault_of(job.circuit, "spinner motor", FaultKind::worn_brushes, 0.9)};
    check_first(under(job, truth), truth);
}

TEST_CASE("passing pairs over by their bound changes no probability by more than a thousandth") {
    // Expected: every pair weighed, none passed over.
    for (const std::string file :
         {"workboat_bilge/readings.toml", "workboat_bilge/unloaded.toml", "glasshouse_winch/joint.toml",
          "orchard_sprayer/before_dismantling.toml"}) {
        INFO(file);
        Table t(read(file));
        const PairStudy pruned = weigh_pairs(t.w, t.singles, alike_of(t.w, t.hypotheses), t.log_total);
        const PairStudy full = weigh_every_pair(t.w, t.singles, t.log_total);
        CHECK(static_cast<int>(full.weighed.size()) == full.considered);
        CHECK(pruned.weighed.size() < full.weighed.size());
        const auto some = t.posterior(pruned), all = t.posterior(full);
        double worst = 0, passed = 0;
        for (const auto& [key, p] : all) {
            const auto at = some.find(key);
            worst = std::max(worst, std::abs(p - (at == some.end() ? 0 : at->second)));
            if (at == some.end()) passed += p;
        }
        CHECK(worst < 1e-3);
        CHECK(passed < passed_over_share);
        MESSAGE(file, ": ", pruned.weighed.size(), " of ", pruned.considered,
                " pairs weighed, probabilities differ by ", worst, " at most, those passed over hold ",
                passed);
    }
}

TEST_CASE("the evidence of two sizes agrees with a fine grid of the circuit's own predictions") {
    // Expected: Simpson's rule on 161 x 161 solves. The meters are coarse so that the grid resolves the peak.
    Readings job = read("orchard_sprayer/readings.toml");
    job.readings.resize(4);
    for (Meter& m : job.meters) m.accuracy = {0.08, 5};
    const std::vector<Fault> truth{fault_of(job.circuit, "pump ground", FaultKind::high_resistance, 0.18),
                                   fault_of(job.circuit, "rinse pump", FaultKind::worn_brushes, 0.3)};
    Table t(under(job, truth));
    struct Two {
        const char *a, *b;
        FaultKind kind_a, kind_b;
    };
    for (const Two& two :
         {Two{"pump ground", "rinse pump", FaultKind::high_resistance, FaultKind::worn_brushes},
          Two{"pump ground", "ground wire", FaultKind::high_resistance, FaultKind::high_resistance},
          Two{"pump relay", "battery", FaultKind::high_resistance, FaultKind::low_charge},
          Two{"rinse pump", "coil ground", FaultKind::dragging, FaultKind::high_resistance}}) {
        INFO(std::string(two.a), " and ", std::string(two.b));
        const Hypothesis h = pair_of(t, index_of(t, two.a, two.kind_a), index_of(t, two.b, two.kind_b));
        const double exact = on_a_grid(t.w, h, 160);
        const double found = weigh_two_sizes(t.w, h, exact - 20).log_evidence;
        INFO("grid ", exact, " rectangles ", found);
        CHECK(std::abs(found - exact) < 0.03);
    }
}

TEST_CASE("no two faults drawn at random make the pairs passed over matter") {
    // Expected: every pair weighed, none passed over. Even draws have one fault, odd ones two; 0.3 % noise.
    constexpr unsigned seed = 7;
    std::mt19937 random(seed);
    int jobs = 0;
    double worst = 0;
    for (const std::string file : {"workboat_bilge/readings.toml", "glasshouse_winch/readings.toml"}) {
        const Table sound(read(file));
        const auto pairs = pairs_of(sound.hypotheses);
        for (int k = 0; k < 8; ++k) {
            const auto& [a, b] = pairs[random() % pairs.size()];
            std::uniform_real_distribution<double> place(0, 1);
            std::vector<Fault> faults =
                faults_at(sound.hypotheses[static_cast<std::size_t>(a)], place(random));
            if (k % 2 == 1)
                faults.push_back(
                    faults_at(sound.hypotheses[static_cast<std::size_t>(b)], place(random)).front());
            Readings job = under(sound.job, faults);
            std::normal_distribution<double> noise(0, 0.003);
            for (Reading& r : job.readings) r.value *= 1 + noise(random);
            Table t(job);
            const auto some =
                t.posterior(weigh_pairs(t.w, t.singles, alike_of(t.w, t.hypotheses), t.log_total));
            for (const auto& [key, p] : t.posterior(weigh_every_pair(t.w, t.singles, t.log_total))) {
                const auto at = some.find(key);
                const double off = std::abs(p - (at == some.end() ? 0 : at->second));
                worst = std::max(worst, off);
                INFO(file, " draw ", k, " of seed ", seed);
                CHECK(off < 1e-3);
            }
            ++jobs;
        }
    }
    MESSAGE("seed ", seed, ": ", jobs, " jobs, probabilities differ by ", worst, " at most");
}

TEST_CASE("two resistances in linear parts read what the estimate says") {
    // Expected: the circuit solved with both in. Two rank-one changes of a linear network superpose exactly,
    // so the tolerance is rounding and the meter's loading, 1e-6 V of 12 V.
    auto circuit = read_circuit_text(R"(format = 1
name = "two heaters"
ground = "battery -"
[[part]]
name = "battery"
kind = "battery"
from = "battery -"
to = "battery +"
emf = "12 V"
[[part]]
name = "feed"
kind = "connector"
from = "battery +"
to = "bus"
[[part]]
name = "front pin"
kind = "connector"
from = "bus"
to = "front"
[[part]]
name = "front heater"
kind = "heater"
from = "front"
to = "frame"
resistance = "2 ohm"
[[part]]
name = "rear heater"
kind = "heater"
from = "bus"
to = "frame"
resistance = "3 ohm"
[[part]]
name = "frame bolt"
kind = "ground"
from = "frame"
to = "battery -"
[[state]]
name = "on"
)",
                                     "two heaters");
    for (const Problem& problem : circuit.problems()) MESSAGE(describe(problem));
    REQUIRE(circuit);
    Readings job;
    job.circuit = *circuit;
    for (const char* red : {"battery +", "bus", "front", "frame"}) {
        Reading r;
        r.red = find_point(job.circuit, red);
        r.black = job.circuit.ground;
        r.resolution = 1e-3;
        job.readings.push_back(r);
    }
    Table t(under(job, {}));
    int asked = 0;
    for (const auto& pair : pairs_of(t.hypotheses)) {
        const Hypothesis &a = t.hypotheses[static_cast<std::size_t>(pair[0])],
                         &b = t.hypotheses[static_cast<std::size_t>(pair[1])];
        if (a.faults[0].kind != FaultKind::high_resistance || b.faults[0].kind != FaultKind::high_resistance)
            continue;
        for (const int i : {0, 3, 8})
            for (const int j : {0, 5, 8}) {
                const auto estimate = estimate_pair(t.w, t.singles, pair, i, j);
                std::vector<Fault> faults = faults_at(a, i / 8.0);
                faults.push_back(faults_at(b, j / 8.0).front());
                const auto exact = predict_readings(t.w, faults);
                REQUIRE(estimate);
                REQUIRE(exact);
                CHECK((exact->mean - estimate->mean).cwiseAbs().maxCoeff() < 1e-5);
                ++asked;
            }
    }
    CHECK(asked == 27);
}

TEST_CASE("pairs' priors sum to the share of machines with two faults") {
    // Expected, by hand: (1 - 0.10 - 0.02)·0.05, and singles the other 0.95.
    const Table t(read("workboat_bilge/readings.toml"));
    const auto pairs = pairs_of(t.hypotheses);
    const double odds = log_odds_of_pairs(t.hypotheses, pairs);
    double two = 0, one = 0;
    for (const auto& [a, b] : pairs)
        two += std::exp(
            both(t.hypotheses[static_cast<std::size_t>(a)], t.hypotheses[static_cast<std::size_t>(b)], odds)
                .log_prior);
    for (const Hypothesis& h : t.hypotheses)
        if (!h.faults.empty()) one += std::exp(h.log_prior);
    CHECK(two == doctest::Approx(0.88 * 0.05));
    CHECK(one == doctest::Approx(0.88 * 0.95));
}

TEST_CASE("two faults on one part have sizes and don't undo each other") {
    // Expected, by hand: a battery both low and weak, a motor with worn brushes that also drags; not a wire
    // that is open and corroded, nor a motor that both drags and runs light.
    const Table t(read("orchard_sprayer/readings.toml"));
    const auto has = [&](const char* part, FaultKind a, FaultKind b) {
        const int i = index_of(t, part, a), j = index_of(t, part, b);
        const auto pairs = pairs_of(t.hypotheses);
        return std::find(pairs.begin(), pairs.end(), std::array{std::min(i, j), std::max(i, j)}) !=
               pairs.end();
    };
    CHECK(has("battery", FaultKind::low_charge, FaultKind::weak_battery));
    CHECK(has("rinse pump", FaultKind::worn_brushes, FaultKind::dragging));
    CHECK_FALSE(has("feed wire", FaultKind::open, FaultKind::high_resistance));
    CHECK_FALSE(has("rinse pump", FaultKind::dragging, FaultKind::running_light));
}

} // namespace lostvolts

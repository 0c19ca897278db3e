// Every fault of every part of the bundled circuits, seen by instruments at every point: the guilty part has
// to come first, or to tie with parts that nothing could tell from it.
#include <doctest/doctest.h>

#include <cmath>

#include <Eigen/Cholesky>

#include "solver/circuit/read.h"
#include "solver/locate/locate.h"
#include "solver/locate/suspects.h"
#include "solver/locate/weighing.h"

namespace lostvolts {
namespace {

/// Faults that the tolerances of healthy parts cover, so that "healthy" rightly comes first.
struct Unseen {
    const char* part;
    FaultKind kind;
};

class EveryFault {
  public:
    explicit EveryFault(const std::string& scenario) {
        auto read = read_circuit(LOSTVOLTS_SOURCE "/circuits/" + scenario + "/circuit.toml");
        REQUIRE(read);
        job_.circuit = *read;
        network_ = analyse(std::make_shared<const Circuit>(job_.circuit));
        job_.meters = {meter("multimeter", {0.005, 2}, 1e-3), meter("clamp", {0.02, 5}, 1e-2),
                       meter("tachometer", {0.001, 1}, 0.1)};
        place_instruments();
        healthy_ = values({});
    }

    void check(const std::vector<Unseen>& unseen) {
        const Readings sound = with(healthy_);
        const auto weighing = prepare(network_, sound);
        REQUIRE(weighing);
        hypotheses_ = single_faults(network_, weighing->typical_amps, weighing->typical_volts);
        for (Hypothesis& h : hypotheses_) // at most one fault is asked for: theirs is the pairs' share too
            if (!h.faults.empty()) h.log_prior -= std::log1p(-prior_two);
        int first = 0, tied = 0, covered = 0;
        for (const Hypothesis& h : hypotheses_) {
            if (h.faults.empty()) continue;
            const FaultRange& f = h.faults.front();
            const Fault fault{f.part, f.kind, f.size_at(0.5)};
            INFO(part(f.part), ": ", std::string(name_of(f.kind)), " ", fault.size);
            const std::vector<double> seen = values({fault});
            const auto found = locate(with(seen), AtMost::one);
            REQUIRE(found);
            const Suspect& leader = found->suspects.front();
            if (is(leader, f)) {
                ++first;
                continue;
            }
            INFO("first is ", describe(leader), " at ", leader.probability);
            if (looks_the_same(leader, fault, seen)) {
                check_share(*found, h, leader);
                ++tied;
                continue;
            }
            if (held_by_drag(leader, f, seen)) {
                double together = leader.probability;
                for (const Suspect& s : found->suspects)
                    if (is(s, f)) together += s.probability;
                CHECK(together > 0.99);
                ++tied;
                continue;
            }
            const bool listed = std::any_of(unseen.begin(), unseen.end(), [&](const Unseen& u) {
                return part(f.part) == u.part && f.kind == u.kind;
            });
            CHECK(listed);
            CHECK(leader.faults.empty());
            CHECK_FALSE(leader.unmodelled);
            // The readings are less surprising from a healthy circuit than this fault is rare.
            CHECK(0.5 * std::pow(distance_from_healthy(seen), 2) <
                  hypotheses_.front().log_prior - h.log_prior);
            ++covered;
        }
        CHECK(covered == static_cast<int>(unseen.size()));
        MESSAGE(job_.circuit.name, ": ", first, " come first, ", tied, " tie, ", covered,
                " lie within healthy parts' tolerances, by ", job_.readings.size(), " readings");
    }

  private:
    static Meter meter(const char* name, Accuracy accuracy, double resolution) {
        Meter m;
        m.name = name;
        m.accuracy = accuracy;
        m.resolution = resolution;
        return m;
    }

    void place(int state, Measurand quantity, PointId red, PartId through, int meter) {
        Reading r;
        r.state = state;
        r.quantity = quantity;
        r.red = red;
        r.black = red == none ? none : job_.circuit.ground;
        r.through = through;
        r.meter = meter;
        r.resolution = job_.meters[static_cast<std::size_t>(meter)].resolution;
        job_.readings.push_back(r);
    }

    /// A voltmeter at every point and a clamp and a tachometer on every motor in every state, a clamp on
    /// every wire in the first.
    void place_instruments() {
        const Circuit& c = job_.circuit;
        for (int s = 0; s < static_cast<int>(c.states.size()); ++s) {
            const std::vector<PartId>& out = c.states[static_cast<std::size_t>(s)].removed;
            for (PointId p = 0; p < static_cast<PointId>(c.points.size()); ++p)
                if (p != c.ground) place(s, Measurand::voltage, p, none, 0);
            for (PartId p = 0; p < static_cast<PartId>(c.parts.size()); ++p) {
                const AnyPart& law = c.parts[static_cast<std::size_t>(p)].law;
                if (std::find(out.begin(), out.end(), p) != out.end()) continue;
                const bool motor = std::holds_alternative<Motor<>>(law);
                if (motor || (s == 0 && std::holds_alternative<Wire<>>(law)))
                    place(s, Measurand::current, none, p, 1);
                if (motor) place(s, Measurand::speed, none, p, 2);
            }
        }
    }

    /// What the instruments show, without any error.
    std::vector<double> values(const std::vector<Fault>& faults) {
        std::vector<double> all;
        for (std::size_t i = 0; i < job_.readings.size();) {
            const int state = job_.readings[i].state;
            std::vector<Probe> probes;
            for (; i < job_.readings.size() && job_.readings[i].state == state; ++i)
                probes.push_back(probe_of(job_, job_.readings[i]));
            Setup setup = set_up(network_, state, faults);
            REQUIRE_FALSE(operate(network_, setup, work_, at_));
            const std::vector<double> here = read_probes(network_, setup, at_, work_, probes);
            all.insert(all.end(), here.begin(), here.end());
        }
        return all;
    }

    Readings with(const std::vector<double>& seen) const {
        Readings job = job_;
        for (std::size_t i = 0; i < seen.size(); ++i) job.readings[i].value = seen[i];
        return job;
    }

    const std::string& part(PartId p) const { return job_.circuit.parts[static_cast<std::size_t>(p)].name; }

    static bool is(const Suspect& s, const FaultRange& f) {
        return !s.faults.empty() && s.faults.front().part == f.part && s.faults.front().kind == f.kind;
    }

    std::string describe(const Suspect& s) const {
        if (s.unmodelled) return "something not modelled";
        if (s.faults.empty()) return "healthy";
        return part(s.faults.front().part) + ": " + std::string(name_of(s.faults.front().kind));
    }

    /// The leader, with a fault of the same size, shows the same on every instrument to a millionth.
    bool looks_the_same(const Suspect& leader, const Fault& truth, const std::vector<double>& seen) {
        if (leader.unmodelled) return false;
        std::vector<Fault> faults;
        for (const FoundFault& f : leader.faults) faults.push_back({f.part, f.kind, truth.size});
        const std::vector<double> other = faults.empty() ? healthy_ : values(faults);
        for (std::size_t i = 0; i < seen.size(); ++i)
            if (std::abs(other[i] - seen[i]) > 1e-6) return false;
        return true;
    }

    /// A motor that drags so hard that it stands reads like a seized one, but for the crawl that the straight
    /// stretch of the sign leaves it: a thousandth of its load speed, and so of its back emf (motor.h).
    bool held_by_drag(const Suspect& leader, const FaultRange& truth, const std::vector<double>& seen) {
        if (truth.kind != FaultKind::dragging || leader.faults.size() != 1 ||
            leader.faults.front().part != truth.part || leader.faults.front().kind != FaultKind::seized)
            return false;
        const std::vector<double> seized = values({{truth.part, FaultKind::seized, 0}});
        for (std::size_t i = 0; i < seen.size(); ++i)
            if (std::abs(seized[i] - seen[i]) > standstill_share * std::max(std::abs(seen[i]), 1.0))
                return false;
        return true;
    }

    /// Readings that can't tell two suspects apart leave them their prior odds.
    void check_share(const Location& found, const Hypothesis& truth, const Suspect& leader) {
        double true_probability = 0, leader_prior = 0;
        for (const Suspect& s : found.suspects)
            if (is(s, truth.faults.front())) true_probability = s.probability;
        for (const Hypothesis& h : hypotheses_)
            if (h.faults.empty() ? leader.faults.empty()
                                 : !leader.faults.empty() && is(leader, h.faults.front()))
                leader_prior = h.log_prior;
        CHECK(true_probability / leader.probability ==
              doctest::Approx(std::exp(truth.log_prior - leader_prior)).epsilon(1e-3));
    }

    /// Standard deviations, of meters and healthy parts together, between these readings and a healthy
    /// circuit.
    double distance_from_healthy(const std::vector<double>& seen) {
        const Readings job = with(seen);
        auto weighing = prepare(network_, job);
        REQUIRE(weighing);
        const auto predicted = predict_readings(*weighing, {});
        REQUIRE(predicted);
        Eigen::MatrixXd covariance = predicted->tolerance;
        covariance.diagonal() += weighing->measured.variance;
        const Eigen::VectorXd error = weighing->measured.value - predicted->mean;
        return std::sqrt(error.dot(covariance.llt().solve(error)));
    }

    Readings job_; ///< every instrument's reading, values yet to be filled in
    Network network_;
    Workspace work_;
    Operating at_;
    std::vector<double> healthy_;
    std::vector<Hypothesis> hypotheses_;
};

} // namespace

// Expected in all of these: the fault that the readings were computed with, at the middle of its range. Ties
// follow from the drawing: parts between the same two points, a relay stuck in a state where it is closed
// anyway.

TEST_CASE("every fault of the orchard sprayer comes first or ties") {
    EveryFault("orchard_sprayer").check({});
}

TEST_CASE("every fault of the workboat's bilge pump comes first or ties") {
    EveryFault("workboat_bilge").check({});
}

TEST_CASE("every fault of the snow plough's spinner comes first or ties") {
    EveryFault("snow_plough_spinner").check({});
}

TEST_CASE("every fault of the trailer's lamps comes first or ties") {
    // Both from the socket's side of the ground pin to ground, 0.45 ohm beside 5 mohm of wire and ground.
    EveryFault("trailer_lamps")
        .check(
            {{"plug, ground pin", FaultKind::short_to_ground}, {"white wire", FaultKind::short_to_ground}});
}

TEST_CASE("every fault of the radiator fan comes first or ties") { EveryFault("radiator_fan").check({}); }

TEST_CASE("every fault of the glasshouse winch comes first or ties") {
    // The regulator's droop: in the sun it is at its current limit, where the droop moves nothing.
    EveryFault("glasshouse_winch").check({{"solar regulator", FaultKind::weak_battery}});
}

} // namespace lostvolts

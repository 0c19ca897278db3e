// What holds for every circuit of a kind, whatever its numbers. LOSTVOLTS_TIMES=10 tries ten times as many.
#include <doctest/doctest.h>

#include <cmath>

#include "tests/network/random_circuit.h"
#include "tests/network/times.h"
#include "tests/network/worked.h"

using namespace lostvolts;
using namespace lostvolts::testing;

namespace {

constexpr double volts_fed = 10;

/// Conductances only: a ring through all points, and half as many links across it.
struct Passive {
    int points;
    struct Link {
        int from, to;
        double ohms;
    };
    std::vector<Link> links;

    explicit Passive(Random& r) : points(3 + below(r, 20)) {
        for (int p = 0; p < points; ++p) links.push_back({p, (p + 1) % points, log_uniform(r, 1e-3, 100)});
        for (int k = points / 2; k > 0; --k) {
            const int from = below(r, points), to = below(r, points);
            if (from != to) links.push_back({from, to, log_uniform(r, 1e-3, 100)});
        }
    }

    /// What rounding leaves open of the amperes in a link: 50 units in the last place of the volts at its
    /// ends.
    double rounding(std::size_t at) const { return 50 * 0x1p-52 * volts_fed / links[at].ohms; }

    /// With a battery in series with link `at`, its plus towards the link's end.
    Worked fed(std::size_t at, double volts) const {
        Builder b;
        b.point("p0");
        const auto name = [](int p) { return std::string("p") += std::to_string(p); };
        for (std::size_t k = 0; k < links.size(); ++k) {
            const auto& [from, to, ohms] = links[k];
            if (k == at)
                b.add(battery(volts, ohms), name(from), name(to));
            else
                b.add(resistor(ohms), name(from), name(to));
        }
        return Worked(b);
    }
};

} // namespace

TEST_CASE("source and ammeter may change places in any network of resistances") {
    // Reciprocity: volts put into one link drive the same amperes in another as the other way round.
    // Tolerance: rounding.
    constexpr std::uint64_t seed = 20261126;
    MESSAGE("seed ", seed);
    Random random(seed);
    for (int k = 0; k < times(2000); ++k) {
        const Passive net(random);
        const auto n = static_cast<int>(net.links.size());
        const int a = below(random, n), b = (a + 1 + below(random, n - 1)) % n;
        const auto at_a = static_cast<std::size_t>(a), at_b = static_cast<std::size_t>(b);
        const Worked there = net.fed(at_a, volts_fed), back = net.fed(at_b, volts_fed);
        REQUIRE_FALSE(there.problem);
        REQUIRE_FALSE(back.problem);
        // A battery's current is counted out of its plus, so along its link, a resistance's from `from` to
        // `to`.
        CHECK_MESSAGE(std::abs(there.amps(b) - back.amps(a)) <= net.rounding(at_a) + net.rounding(at_b),
                      "network ", k);
    }
}

TEST_CASE("a resistance raised anywhere never makes a battery give more") {
    // Rayleigh's monotonicity law (J. W. Strutt, The Theory of Sound, 1877, art. 305; from memory).
    // Tolerance: rounding.
    constexpr std::uint64_t seed = 20261127;
    MESSAGE("seed ", seed);
    Random random(seed);
    for (int k = 0; k < times(2000); ++k) {
        Passive net(random);
        const auto n = static_cast<int>(net.links.size());
        const PartId source = below(random, n);
        const auto at = static_cast<std::size_t>(source);
        const double before = net.fed(at, volts_fed).amps(source), rounding = net.rounding(at);
        CHECK(before > 0);
        net.links[static_cast<std::size_t>(below(random, n))].ohms *= log_uniform(random, 1.001, 1e4);
        CHECK_MESSAGE(net.fed(at, volts_fed).amps(source) <= before + rounding, "network ", k);
    }
}

TEST_CASE("more series resistance never raises the current of a loop with one load") {
    // Each kind of load here takes less when it gets less (a constant-power load would not). Tolerance: 1e-9
    // of the current, the Newton steps' own.
    constexpr std::uint64_t seed = 20261128;
    MESSAGE("seed ", seed);
    Random random(seed);
    for (int k = 0; k < times(2000); ++k) {
        Builder b;
        const double volts = chance(random, 0.3) ? 24 : 12;
        const double inside = log_uniform(random, 3e-3, 40e-3);
        b.add(battery(uniform(random, 0.9, 1.15) * volts, inside), "ground", "plus");
        const PartId joint =
            b.add(conductor<Connector<>>(log_uniform(random, 1e-3, 50e-3)), "plus", "load +");
        switch (below(random, 3)) {
        case 0:
            b.add(random_lamp(random, volts), "load +", "load -");
            break;
        case 1:
            b.add(random_motor(random, volts), "load +", "load -");
            break;
        default:
            b.add(conductor<Heater<>>(log_uniform(random, 0.5, 20)), "load +", "load -");
        }
        b.add(wire(log_uniform(random, 1e-3, 50e-3)), "load -", "ground");
        if (chance(random, 0.3)) b.circuit.states.front().locked = {2};
        double last = HUGE_VAL;
        for (double ohms = 1e-3; ohms < 20; ohms *= 3) {
            const Worked w(b, {{joint, FaultKind::high_resistance, ohms}});
            REQUIRE_MESSAGE(!w.problem, "loop ", k, ", ", ohms, " ohm");
            CHECK_MESSAGE(w.amps(joint) <= last * (1 + 1e-9), "loop ", k, ", ", ohms, " ohm");
            last = w.amps(joint);
        }
    }
}

TEST_CASE("as many times the volts and the ohms drive the same amperes") {
    // Scaling of units: a network of resistances knows no unit of its own. Tolerance: rounding, in the link
    // itself and in the source's, whose amperes go through all the others.
    constexpr std::uint64_t seed = 20261129;
    MESSAGE("seed ", seed);
    Random random(seed);
    for (int k = 0; k < times(2000); ++k) {
        Passive net(random);
        const auto at = static_cast<std::size_t>(below(random, static_cast<int>(net.links.size())));
        const Worked once = net.fed(at, volts_fed);
        const Passive unscaled = net;
        const double scale = log_uniform(random, 1e-2, 1e2);
        for (auto& link : net.links) link.ohms *= scale;
        const Worked scaled = net.fed(at, volts_fed * scale);
        for (std::size_t p = 0; p < net.links.size(); ++p)
            CHECK_MESSAGE(std::abs(once.amps(static_cast<PartId>(p)) - scaled.amps(static_cast<PartId>(p))) <=
                              2 * (unscaled.rounding(p) + unscaled.rounding(at)),
                          "network ", k);
    }
}

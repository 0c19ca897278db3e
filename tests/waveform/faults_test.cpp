// What people really record: each fault is found, told, and what it hides is null with a reason.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/waveform/waveform.h"
#include "tests/waveform/simulated.h"

using namespace lostvolts;
using namespace lostvolts::waveform_tests;

namespace {

Waveform report(const Capture& c, int start = 1, std::optional<int> bars = {}) {
    WaveformOptions options;
    options.start = start;
    options.bars = bars;
    auto w = analyse(c, options);
    REQUIRE(w);
    return *std::move(w);
}
std::string reason(const Waveform& w, const std::string& key) {
    for (const Unknown& u : w.unknown)
        if (u.key == key) return u.reason;
    return "";
}
bool says(const Waveform& w, const std::string& part) {
    return std::any_of(w.cautions.begin(), w.cautions.end(),
                       [&](const std::string& c) { return c.find(part) != std::string::npos; });
}
Machine worn() {
    Machine m;
    m.worn_bar_ohms = 0.08;
    return m;
}

} // namespace

TEST_CASE("a clamp on backwards and not zeroed is told apart and corrected") {
    // Expected: what the simulation did to its clamp.
    Instrument in;
    in.noise = 0.005;
    in.reversed = true;
    in.clamp_zero = 2.5;
    const Waveform w = report(simulate(worn(), in));
    CHECK(w.clamp.reversed);
    CHECK(si(*w.clamp.zero) == doctest::Approx(2.5).epsilon(0.01));
    CHECK(si(*w.run_current) > 0);
    CHECK(says(w, "on backwards"));
    CHECK(says(w, "The clamp shows 2.50 A without current"));
}

TEST_CASE("a clipped peak is not given, the range's end is") {
    // Expected: clipped at 20 A by the simulation, which peaks at 24 A or so.
    Instrument in;
    in.noise = 0.005;
    in.amps_range = 20;
    const Waveform w = report(simulate(worn(), in));
    CHECK_FALSE(w.peak_current);
    CHECK(reason(w, "peak_current_A").find("range ends at 20") != std::string::npos);
    REQUIRE(w.clipped.size() == 1);
    CHECK(w.clipped[0].level == 20);
    CHECK(w.stall_current); // from the fit, on both sides of what was clipped
    Instrument wide = in;
    wide.amps_range = 1e9;
    CHECK(report(simulate(worn(), wide)).clipped.empty());
}

TEST_CASE("a capture that begins after the start gives what the run shows and no more") {
    // Expected: the simulation's run; the start was 0.15 s before the first sample.
    Instrument in;
    in.noise = 0.005;
    in.before = -0.15;
    in.after = 1.2;
    Truth t;
    const Waveform w = report(simulate(worn(), in, &t));
    CHECK_FALSE(w.start);
    CHECK_FALSE(w.peak_current);
    CHECK_FALSE(w.stall_current);
    CHECK_FALSE(w.upstream);
    CHECK_FALSE(w.clamp.zero);
    CHECK(reason(w, "start_s") != "");
    CHECK(si(*w.run_current) == doctest::Approx(t.run).epsilon(0.01));
    CHECK(si(*w.speed) == doctest::Approx(t.speed).epsilon(0.005));
}

TEST_CASE("one channel alone gives its own features, and says what is missing for the rest") {
    // Expected: the simulation's truth.
    Instrument in;
    in.noise = 0.002;
    Truth t;
    Capture both = simulate(worn(), in, &t);
    Capture amps = both, volts = both;
    amps.volts.clear();
    volts.amps.clear();
    const Waveform a = report(amps), v = report(volts);
    CHECK(si(a.stall_current->value) == doctest::Approx(t.stall).epsilon(0.05));
    CHECK(si(*a.run_current) == doctest::Approx(t.run).epsilon(0.01));
    CHECK_FALSE(a.upstream);
    CHECK(reason(a, "upstream_ohm") == "the capture has no volts");
    CHECK(a.motor.time_constant);
    CHECK(a.motor.with_wiring);
    CHECK(si(*v.resting_voltage) == doctest::Approx(t.resting).epsilon(0.001));
    CHECK(si(*v.sag) == doctest::Approx(t.sag).epsilon(0.05));
    CHECK(si(*v.run_voltage) == doctest::Approx(t.run_volts).epsilon(0.002));
    CHECK(reason(v, "peak_current_A") == "the capture has no current");
    CHECK(std::abs(si(*v.start) - in.before) < 1e-3);
}

TEST_CASE("of several starts in a file the one asked for is analysed") {
    // Expected: two recordings of different machines, one after the other, off between.
    Instrument in;
    in.noise = 0.002;
    in.before = 0.3;
    in.after = 1.0;
    in.off_after = 0.8;
    Machine second = worn();
    second.upstream = 0.2;
    Capture c = simulate(worn(), in);
    const Capture d = simulate(second, in);
    const double one = c.step_seconds * static_cast<double>(c.size());
    c.amps.insert(c.amps.end(), d.amps.begin(), d.amps.end());
    c.volts.insert(c.volts.end(), d.volts.begin(), d.volts.end());
    const Waveform first = report(c, 1), other = report(c, 2);
    REQUIRE(first.starts.size() == 2);
    CHECK(std::abs(si(first.starts[0]) - 0.3) < 1e-3);
    CHECK(std::abs(si(first.starts[1]) - one - 0.3) < 1e-3);
    CHECK(si(first.upstream->value) == doctest::Approx(0.04).epsilon(0.05));
    CHECK(si(other.upstream->value) == doctest::Approx(0.2).epsilon(0.05));
    WaveformOptions third;
    third.start = 3;
    const auto none = analyse(c, third);
    REQUIRE(!none);
    CHECK(none.problems()[0].what == "has 2 starts, so there is no start 3");
}

TEST_CASE("a probe behind the switch has no resting level, and the fit finds the emf all the same") {
    // Expected: the simulation's truth.
    Instrument in;
    in.noise = 0.002;
    in.behind_switch = true;
    const Machine m = worn();
    const Waveform w = report(simulate(m, in));
    CHECK_FALSE(w.resting_voltage);
    CHECK_FALSE(w.sag);
    CHECK(si(w.upstream->value) == doctest::Approx(m.upstream).epsilon(0.05));
    CHECK(si(w.emf->value) == doctest::Approx(m.emf).epsilon(0.005));
}

TEST_CASE("each bounce of the contact is found with its time and length") {
    // Expected: the openings that the simulation made; a sample is 50 us, the current's rise 0.7 ms.
    Machine m = worn();
    m.open = {{0.9e-3, 1.6e-3}, {2.4e-3, 3.3e-3}};
    Instrument in;
    in.noise = 0.002;
    const Waveform w = report(simulate(m, in));
    REQUIRE(w.bounces.size() == 2);
    for (std::size_t k = 0; k < 2; ++k) {
        CHECK(std::abs(si(w.bounces[k].at) - in.before - m.open[k].first) < 0.15e-3);
        CHECK(std::abs(si(w.bounces[k].open) - (m.open[k].second - m.open[k].first)) < 0.3e-3);
    }
    m.open.clear();
    CHECK(report(simulate(m, in)).bounces.empty());
}

TEST_CASE("noise alone and a steady level hold no start") {
    // Expected, by definition. Seed of the simulation's noise: 1.
    Capture c = simulate(worn(), {});
    std::fill(c.amps.begin(), c.amps.end(), 0.0);
    std::fill(c.volts.begin(), c.volts.end(), 12.6);
    const Waveform w = report(c);
    CHECK(w.starts.empty());
    CHECK_FALSE(w.peak_current);
    CHECK_FALSE(w.run_current);
    CHECK_FALSE(w.speed);
}

TEST_CASE("sampling too slow for the true peak is told") {
    // Expected: at 500 S/s the current rises within two samples.
    Instrument in;
    in.rate = 500;
    const Waveform w = report(simulate(worn(), in));
    CHECK(says(w, "too low to show the true peak"));
    CHECK_FALSE(w.speed);
}

TEST_CASE("ten million samples a second give what twenty thousand do") {
    // Expected: the simulation's truth; 2.2 million rows, of which blocks are made. The current rises by 36
    // A/ms and a start is told from a twentieth of its jump: 35 us. Seed 1.
    Instrument in;
    in.rate = 10e6;
    in.before = 0.02;
    in.after = 0.2;
    in.noise = 0.005;
    Truth t;
    const Machine m = worn();
    const Waveform w = report(simulate(m, in, &t));
    CHECK(std::abs(si(*w.start) - in.before) < 35e-6);
    CHECK(si(w.stall_current->value) == doctest::Approx(t.stall).epsilon(0.02));
    CHECK(si(w.upstream->value) == doctest::Approx(m.upstream).epsilon(0.02));
    CHECK(si(*w.peak_current) == doctest::Approx(t.peak).epsilon(0.01));
    CHECK(si(*w.sag) == doctest::Approx(t.sag).epsilon(0.02));
}

TEST_CASE("volts that stand at the range's end give no sag") {
    // Expected: the simulation's probe shows nothing below 12 V, and the start pulls it lower.
    Instrument in;
    in.noise = 0.002;
    in.volts_low = 12.0;
    const Waveform w = report(simulate(worn(), in));
    CHECK_FALSE(w.sag);
    CHECK(reason(w, "sag_V") == "the instrument's range ends at 12.0 V");
    CHECK(si(w.upstream->value) == doctest::Approx(worn().upstream).epsilon(0.05));
}

TEST_CASE("a probe across a part of the loop tells its run volts and nothing of a source") {
    // Expected, by hand: 30 milliohms in the ground carry the current, so the volts rise with it from
    // nothing. Across the contact that closes they fall to it from the battery's. Neither is a source's
    // level.
    Instrument in;
    in.noise = 0.002;
    Truth t;
    const Capture c = simulate(worn(), in, &t);
    Capture ground = c, contact = c;
    for (std::size_t k = 0; k < c.size(); ++k) {
        ground.volts[k] = 0.030 * c.amps[k];
        contact.volts[k] = c.amps[k] > 2 ? 0.030 * c.amps[k] : 12.6;
    }
    for (const Capture& one : {ground, contact}) {
        const Waveform w = report(one);
        CHECK_FALSE(w.upstream);
        CHECK_FALSE(w.sag);
        CHECK_FALSE(w.emf);
        CHECK(reason(w, "upstream_ohm").find("the probe lies across a part") != std::string::npos);
        CHECK(si(*w.run_voltage) == doctest::Approx(0.030 * t.run).epsilon(0.01));
        CHECK(si(w.stall_current->value) == doctest::Approx(t.stall).epsilon(0.03));
    }
}

TEST_CASE("a channel of nothing but zeros is left aside and the other one still told") {
    // Expected, by hand: zeros in the place of one channel, then of both; the start's numbers from the
    // amperes alone, within the accuracy of a capture without volts.
    Instrument in;
    in.noise = 0.002;
    Truth t;
    const Capture c = simulate(worn(), in, &t);
    Capture no_volts = c, no_amps = c, nothing = c;
    no_volts.volts.assign(c.size(), 0);
    no_amps.amps.assign(c.size(), 0);
    nothing.volts.assign(c.size(), 0);
    nothing.amps.assign(c.size(), 0);
    const Waveform w = report(no_volts);
    CHECK(says(w, "The volts are 0 throughout and left aside: a lead was off, or this is another channel."));
    CHECK(reason(w, "upstream_ohm") == "the capture has no volts");
    CHECK_FALSE(w.run_voltage);
    CHECK(si(w.stall_current->value) == doctest::Approx(t.stall).epsilon(0.02));
    const Waveform v = report(no_amps);
    CHECK(says(v, "The amperes are 0 throughout and left aside: the clamp was off or not on this lead, or no "
                  "current flowed."));
    CHECK(reason(v, "run_current_A") == "the capture has no current");
    CHECK(si(*v.run_voltage) == doctest::Approx(t.run_volts).epsilon(0.01));
    const auto refused = analyse(nothing);
    REQUIRE(!refused);
    CHECK(describe(refused.problems()[0]) ==
          "simulated.csv: holds nothing but zeros\n"
          "  check the leads, the clamp's battery and the channel, and record again");
}

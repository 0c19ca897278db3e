// Every feature recovered from simulated captures over a grid of sampling rates, noise and faults. The truth
// is that of the simulation (simulated.h), which shares nothing with the solver.
#include <doctest/doctest.h>

#include <cmath>
#include <functional>
#include <optional>

#include <fmt/format.h>

#include "solver/waveform/waveform.h"
#include "tests/waveform/simulated.h"

using namespace lostvolts;
using namespace lostvolts::waveform_tests;

namespace {

constexpr int seeds = 8;

/// Relative errors of one feature over the seeds.
struct Errors {
    std::vector<double> all;
    int missing = 0;

    template <class Q> void take(const std::optional<Q>& q, double truth) {
        q ? all.push_back(si(*q) / truth - 1) : void(++missing);
    }
    template <class Q> void take(const std::optional<Estimate<Q>>& e, double truth) {
        e ? all.push_back(si(e->value) / truth - 1) : void(++missing);
    }
    double bias() const {
        double sum = 0;
        for (const double e : all) sum += e;
        return all.empty() ? 0 : sum / static_cast<double>(all.size());
    }
    double spread() const {
        double squares = 0;
        for (const double e : all) squares += (e - bias()) * (e - bias());
        return all.size() < 2 ? 0 : std::sqrt(squares / static_cast<double>(all.size() - 1));
    }
    std::string text() const {
        return all.empty() ? "—" : fmt::format("{:+.2f} ± {:.2f}", 100 * bias(), 100 * spread());
    }
};

struct Cell {
    Errors peak, stall, run, speed, sag, upstream, downstream, constant, inertia;
    int covered = 0, intervals = 0; ///< of the 90 % intervals
};

template <class Q> void cover(Cell& c, const std::optional<Estimate<Q>>& e, double truth) {
    if (!e) return;
    ++c.intervals;
    c.covered += truth >= si(e->low) && truth <= si(e->high);
}

Cell run(const Machine& m, Instrument in) {
    Cell cell;
    for (int seed = 1; seed <= seeds; ++seed) {
        in.seed = static_cast<std::uint64_t>(seed);
        Truth t;
        const Capture c = simulate(m, in, &t);
        // Under 2 % of noise the odd bar is drowned, and only a person who knows their number can tell the
        // turn.
        WaveformOptions options;
        if (in.noise > 0.01) options.bars = m.bars;
        const auto w = analyse(c, options);
        REQUIRE(w);
        cell.peak.take(w->peak_current, t.peak);
        cell.stall.take(w->stall_current, t.stall);
        cell.run.take(w->run_current, t.run);
        cell.speed.take(w->speed, t.speed);
        cell.sag.take(w->sag, t.sag);
        cell.upstream.take(w->upstream, m.upstream);
        cell.downstream.take(w->downstream, m.winding + m.wiring);
        cell.constant.take(w->motor.constant, m.constant);
        cell.inertia.take(w->motor.inertia, m.inertia);
        cover(cell, w->stall_current, t.stall);
        cover(cell, w->upstream, m.upstream);
        cover(cell, w->downstream, m.winding + m.wiring);
    }
    return cell;
}

std::string row(const std::string& name, const Cell& c) {
    return fmt::format("{:<26} {:>14} {:>14} {:>14} {:>14} {:>14} {:>14} {:>14} {:>14} {:>14}  {}/{}\n", name,
                       c.peak.text(), c.stall.text(), c.run.text(), c.speed.text(), c.sag.text(),
                       c.upstream.text(), c.downstream.text(), c.constant.text(), c.inertia.text(), c.covered,
                       c.intervals);
}

/// The mean error and, beyond that, the whole error of nearly all.
void within(const Errors& e, double target) {
    CHECK(e.missing == 0);
    CHECK(std::abs(e.bias()) < target);
    CHECK(e.spread() < target);
}

Machine pump() {
    Machine m;
    m.ripple = 0.005;
    m.worn_bar_ohms = 0.01;
    m.winding -= m.worn_bar_ohms / m.bars; // so that the mean over a turn is the nominal
    return m;
}

} // namespace

TEST_CASE("features of a start are recovered within their targets from 5 kS/s on, noise or not") {
    // Expected: the simulation's truth. Targets at noise up to 2 % of full scale: stall and run current 1 %,
    // speed 0.5 %, sag 2 %, upstream resistance 5 %. Seeds 1 to 8.
    std::string table = "\n                                     bias ± spread, % of the truth\n"
                        "rate, noise                          peak          stall            run          "
                        "speed            sag       upstream     downstream       constant "
                        "       inertia  in 90 %\n";
    int covered = 0, intervals = 0;
    for (const double rate : {1e3, 5e3, 20e3, 100e3})
        for (const double noise : {0.0, 0.005, 0.02}) {
            Instrument in;
            in.rate = rate;
            in.noise = noise;
            const Machine m = pump();
            const Cell c = run(m, in);
            table += row(fmt::format("{:.0f} kS/s, {:.1f} %", rate / 1e3, 100 * noise), c);
            if (rate < 5e3) continue;
            INFO(fmt::format("{} S/s, noise {}", rate, noise));
            within(c.stall, 0.01);
            within(c.run, 0.01);
            within(c.speed, 0.005);
            within(c.sag, noise > 0.01 && rate < 20e3 ? 0.03 : 0.02);
            within(c.upstream, 0.05);
            covered += c.covered, intervals += c.intervals;
        }
    MESSAGE(table);
    MESSAGE(fmt::format("90 % intervals hold the truth {} times of {}", covered, intervals));
    CHECK(covered >= 0.85 * intervals);
}

TEST_CASE("an instrument's faults leave the features as they are") {
    // Expected: the simulation's truth, at 20 kS/s and 0.5 % noise. Seeds 1 to 8.
    std::string table = "\n";
    const auto check = [&](const std::string& name, const std::function<void(Machine&, Instrument&)>& spoil,
                           double wide = 1) {
        Machine m = pump();
        Instrument in;
        in.noise = 0.005;
        spoil(m, in);
        const Cell c = run(m, in);
        table += row(name, c);
        INFO(name);
        within(c.run, 0.01 * wide);
        within(c.speed, 0.005);
        within(c.upstream, 0.05 * wide);
        within(c.stall, 0.01 * wide);
    };
    check("clamp zero 3 A", [](Machine&, Instrument& in) { in.clamp_zero = 3; });
    check("clamp reversed", [](Machine&, Instrument& in) { in.reversed = true; });
    check("reversed, zero −2 A", [](Machine&, Instrument& in) { in.reversed = true, in.clamp_zero = -2; });
    check("hum 0.5 A and 0.1 V", [](Machine&, Instrument& in) { in.hum_amps = 0.5, in.hum_volts = 0.1; });
    check("hum at 60 Hz", [](Machine&, Instrument& in) { in.hum_amps = 0.5, in.hum_hertz = 60; });
    check(
        "clipped at 20 A", [](Machine&, Instrument& in) { in.amps_range = 20; }, 2);
    check(
        "contact bounces",
        [](Machine& m, Instrument&) {
            m.open = {{0.8e-3, 1.5e-3}, {2.2e-3, 3.1e-3}};
        },
        2);
    check("switched off at 0.6 s", [](Machine&, Instrument& in) { in.off_after = 0.6; });
    MESSAGE(table);
}

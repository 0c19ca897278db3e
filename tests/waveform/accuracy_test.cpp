#include <doctest/doctest.h>
#include <fmt/format.h>
#include <numbers>
#include "solver/waveform/waveform.h"
#include "tests/waveform/simulated.h"
using namespace lostvolts;
using namespace lostvolts::waveform_tests;
TEST_CASE("probe") {
    for (double rate : {1e3, 10e3, 100e3}) for (double noise : {0.0, 0.02}) for (int seed : {1,2,3}) {
        Machine m; m.worn_bar_ohms = 0.08; m.ripple = 0.03;
        Instrument in; in.rate = rate; in.noise = noise; in.seed = seed;
        Truth t; auto c = simulate(m, in, &t);
        auto r = analyse(c, {});
        REQUIRE(r);
        const Waveform& w = *r;
        auto p = [](auto o) { return o ? si(*o) : NAN; };
        auto e = [](auto& o) { return o ? fmt::format("{:.4g} [{:.4g} {:.4g}]", si(o->value), si(o->low), si(o->high)) : std::string("-"); };
        fmt::print("rate {} noise {} | start {:.6f} peak {:.2f}/{:.2f} run {:.3f}/{:.3f} stall {}/{:.2f} sag {:.3f}/{:.3f} up {}/.04 down {}/.45 rpm {:.1f}/{:.1f} bars {} uneven {} L {:.3g} k {:.4g}/.0239 J {:.3g} tau {:.3g} zero {:.3f}\n",
          rate, noise, p(w.start), p(w.peak_current), t.peak, p(w.run_current), t.run, e(w.stall_current), t.stall, p(w.sag), t.sag, e(w.upstream), e(w.downstream), p(w.speed)*30/std::numbers::pi, t.speed*30/std::numbers::pi, w.bars.value_or(0), w.uneven_bars.size(), p(w.motor.inductance), p(w.motor.constant), p(w.motor.inertia), p(w.motor.time_constant), p(w.clamp.zero));
        if (getenv("WHY")) for (auto& u : w.unknown) fmt::print("    {}: {}\n", u.key, u.reason);
        if (getenv("WHY")) for (auto& u : w.cautions) fmt::print("    ! {}\n", u);
    }
}

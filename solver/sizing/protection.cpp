#include "solver/sizing/protection.h"

#include <cmath>

namespace lostvolts {
namespace {

double shortest_seconds(double amps, double rating) {
    return si(blade_fuse_operating_time(amps / rating).shortest);
}

/// Share of the fuse's life per second; what it carries for a hundred hours costs nothing.
double use_per_second(double amps, double rating) {
    constexpr double carries_for_ever = 1.10;
    return amps <= carries_for_ever * rating ? 0 : 1 / shortest_seconds(amps, rating);
}

} // namespace

double start_use(const StartCurrent& start, Current<> rating) {
    const double r = si(rating);
    double use = 0;
    if (!start.samples.empty()) {
        for (std::size_t k = 1; k < start.samples.size(); ++k) {
            const auto &a = start.samples[k - 1], &b = start.samples[k];
            use += 0.5 * (use_per_second(std::abs(a.amps), r) + use_per_second(std::abs(b.amps), r)) *
                   (b.seconds - a.seconds);
        }
        return use;
    }
    // i(t) = run + (peak − run)·e^(−t/τ), by Simpson's rule over ten time constants: smooth but for one kink.
    constexpr int steps = 2000;
    constexpr double constants = 10;
    const double tau = si(start.time_constant), h = constants * tau / steps;
    for (int k = 0; k <= steps; ++k) {
        const double i = si(start.run) + si(start.peak - start.run) * std::exp(-k * h / tau);
        use += (k == 0 || k == steps ? 1 : k % 2 == 1 ? 4 : 2) * use_per_second(i, r);
    }
    return tau > 0 ? use * h / 3 : 0;
}

bool survives_start(const StartCurrent& start, Current<> rating) { return start_use(start, rating) < 1; }

OperatingTime operating_time(Current<> rating, Current<> current) {
    return blade_fuse_operating_time(std::abs(si(current)) / si(rating));
}

double withstand_amps2_seconds(const WireSize& size, const Metal& metal, const InsulationClass& insulation) {
    const double k = adiabatic_k(metal.name, insulation.limit, insulation.short_circuit).value_or(0);
    const double mm2 = si(size.area) * 1e6;
    return k * k * mm2 * mm2;
}

ShortCheck check_short(Current<> rating, Current<> short_current, double withstand) {
    ShortCheck check;
    check.withstand = withstand;
    check.opens = operating_time(rating, short_current).longest;
    check.let_through = si(short_current) * si(short_current) * si(check.opens);
    check.protects = si(check.opens) <= adiabatic_seconds && check.let_through <= withstand;
    return check;
}

} // namespace lostvolts

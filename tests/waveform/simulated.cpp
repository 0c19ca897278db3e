#include "tests/waveform/simulated.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <random>

#include <fmt/format.h>

namespace lostvolts::waveform_tests {
namespace {

constexpr double fine_step = 16e-6; // a fortieth of the windings' time constant; RK4

struct State {
    double amps = 0, speed = 0, angle = 0, shown = 0; ///< shown: the clamp's own lag
};
State operator+(const State& a, const State& b) {
    return {a.amps + b.amps, a.speed + b.speed, a.angle + b.angle, a.shown + b.shown};
}
State operator*(double f, const State& a) { return {f * a.amps, f * a.speed, f * a.angle, f * a.shown}; }

struct Ripple {
    double ohms, constant;
};
Ripple under_brush(const Machine& m, double angle) {
    const double turns = angle / (2 * std::numbers::pi);
    const double wave = std::cos(2 * std::numbers::pi * m.bars * turns);
    const auto bar = static_cast<long>(std::floor(turns * m.bars)) % m.bars;
    return {m.winding * (1 + m.ripple * wave) + (bar == 3 % m.bars ? m.worn_bar_ohms : 0),
            m.constant * (1 + m.constant_ripple * wave)};
}

State rate_of(const Machine& m, const State& s, bool closed, double bandwidth) {
    const Ripple r = under_brush(m, s.angle);
    const double full = m.constant * m.run_amps, pace = s.speed / m.run_speed;
    double torque = r.constant * s.amps;
    const double load =
        full * (m.friction_share +
                pace * (m.linear_share + (1 - m.friction_share - m.linear_share) * std::abs(pace)));
    torque = s.speed > 1e-6 ? torque - load : std::max(0.0, torque - full * m.friction_share);
    State d;
    d.amps = closed
                 ? (m.emf - (m.upstream + m.wiring + r.ohms) * s.amps - r.constant * s.speed) / m.inductance
                 : 0;
    d.speed = torque / m.inertia;
    d.angle = s.speed;
    d.shown = bandwidth < 1e8 ? 2 * std::numbers::pi * bandwidth * (s.amps - s.shown) : 0;
    return d;
}

} // namespace

Capture simulate(const Machine& m, const Instrument& in, Truth* truth) {
    const double step = 1 / in.rate;
    const auto count = static_cast<std::size_t>(std::llround((in.before + in.after) * in.rate));
    Capture c;
    c.file = "simulated.csv";
    c.start_seconds = 0;
    c.step_seconds = step;
    c.rows_read = count;
    std::mt19937_64 random(in.seed);
    std::normal_distribution<double> normal;

    // The contact closes between two samples, at a place of the seed's own.
    const double contact = in.before + std::uniform_real_distribution<double>(-0.5, 0.5)(random) * step;
    State s;
    s.angle = std::uniform_real_distribution<double>(0, 2 * std::numbers::pi)(
        random); // where the rotor came to rest
    double t = 0, top = 0, low = m.emf;
    std::vector<double> amps(count), volts(count);
    double run_sum = 0, run_volts = 0, run_time = 0, angle_begin = 0, angle_end = 0;
    const double on_for = std::min(in.after, in.off_after), run_from = 0.6 * on_for;
    std::size_t next = 0;
    const auto closed_at = [&](double since) {
        if (since < 0 || since >= in.off_after) return false;
        return std::none_of(m.open.begin(), m.open.end(),
                            [&](const auto& o) { return since >= o.first && since < o.second; });
    };
    // Samples up to `since`, straight between the state before and the one now.
    State before;
    const auto record = [&](double since, const State& now) {
        while (next < count && static_cast<double>(next) * step <= contact + since + 1e-12) {
            const double at = static_cast<double>(next) * step - contact,
                         share = since <= 0 ? 1 : std::clamp(1 - (since - at) / fine_step, 0.0, 1.0);
            const State s_at = (1 - share) * before + share * now;
            const bool on = closed_at(at);
            amps[next] = in.bandwidth < 1e8 ? s_at.shown : s_at.amps;
            volts[next] = on || !in.behind_switch ? m.emf - m.upstream * s_at.amps
                                                  : (at < 0 ? 0 : std::min(m.constant * s_at.speed, m.emf));
            ++next;
        }
        before = now;
    };
    record(-1e-9, s); // everything before the contact closes
    if (contact < 0) next = 0;
    const double until = static_cast<double>(count) * step - contact;
    for (t = 0; t < until; t += fine_step) {
        const bool closed = closed_at(t);
        if (!closed) s.amps = 0;
        record(t, s);
        if (contact + t < 0) next = 0;
        top = std::max(top, s.amps);
        low = std::min(low, m.emf - m.upstream * s.amps);
        if (t >= run_from && t < on_for) {
            if (run_time == 0) angle_begin = s.angle;
            run_sum += s.amps * fine_step;
            run_volts += (m.emf - m.upstream * s.amps) * fine_step;
            run_time += fine_step;
            angle_end = s.angle;
        }
        const State k1 = rate_of(m, s, closed, in.bandwidth),
                    k2 = rate_of(m, s + 0.5 * fine_step * k1, closed, in.bandwidth),
                    k3 = rate_of(m, s + 0.5 * fine_step * k2, closed, in.bandwidth),
                    k4 = rate_of(m, s + fine_step * k3, closed, in.bandwidth);
        s = s + fine_step / 6 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
        if (s.speed < 0) s.speed = 0;
        if (s.amps < 0 && !closed) s.amps = 0;
    }
    while (next < count) {
        amps[next] = amps[next ? next - 1 : 0];
        volts[next] = volts[next ? next - 1 : 0];
        ++next;
    }
    if (truth)
        *truth = {top,         run_sum / run_time,   m.emf / (m.upstream + m.downstream()), m.emf,
                  m.emf - low, run_volts / run_time, (angle_end - angle_begin) / run_time};
    for (std::size_t k = 0; k < count; ++k) {
        const double hum =
            std::sin(2 * std::numbers::pi * in.hum_hertz * static_cast<double>(k) * step + 0.7);
        double a = amps[k] + in.noise * top * normal(random) + in.hum_amps * hum;
        a = std::clamp((in.reversed ? -a : a) + in.clamp_zero, -in.amps_range, in.amps_range);
        const double v =
            std::max(in.volts_low, volts[k] + in.noise * m.emf * normal(random) + in.hum_volts * hum);
        c.amps.push_back(a);
        c.volts.push_back(v);
    }
    return c;
}

std::string csv_of(const Capture& c, int digits) {
    std::string text = c.volts.empty()  ? "time (s),current (A)\n"
                       : c.amps.empty() ? "time (s),voltage (V)\n"
                                        : "time (s),voltage (V),current (A)\n";
    for (std::size_t k = 0; k < c.size(); ++k) {
        text += fmt::format("{:.9f}", c.seconds(k));
        if (!c.volts.empty()) text += fmt::format(",{:.{}g}", c.volts[k], digits);
        if (!c.amps.empty()) text += fmt::format(",{:.{}g}", c.amps[k], digits);
        text += '\n';
    }
    return text;
}

} // namespace lostvolts::waveform_tests

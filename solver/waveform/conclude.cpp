// From plain numbers to the report: quantities, intervals, reasons and cautions.

#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "solver/units/text.h"
#include "solver/waveform/study.h"

namespace lostvolts {
namespace {

constexpr double ninety = 1.645;      // standard deviations to either side of the middle
constexpr double rise_is_seen = 0.35; // sigma of the inductance's logarithm
constexpr double too_vague = 0.5;     // an estimate whose sigma is more than that share of it says nothing
constexpr double few_samples_in_rise = 5;

template <class Q> Q in(double value) { return from_si<Q>(value); }

template <class Q> Estimate<Q> estimate(const Spread& s, double least = -HUGE_VAL) {
    const auto held = [&](double value) { return in<Q>(std::max(least, value)); };
    return {held(s.value), held(s.value - ninety * s.sigma), held(s.value + ninety * s.sigma)};
}

const char* const no_amps = "the capture has no current";
const char* const no_volts = "the capture has no volts";
const char* const across_part = "the probe lies across a part of the loop: its volts rise with the current";
const char* const no_start = "the capture does not show the start";

void conclude_levels(Study& s) {
    Waveform& w = s.report;
    if (s.amps.there()) {
        const bool clipped = s.amps.direction > 0 ? s.amps.top.has_value() : s.amps.bottom.has_value();
        if (!s.start) {
            s.unknown("peak_current_A", no_start);
        } else if (clipped) {
            s.unknown("peak_current_A",
                      fmt::format("the instrument's range ends at {}", show(in<Current<>>(s.raw_peak))));
        } else if (s.fit && s.fit->peak_amps.sigma < s.peak_sigma && s.openings.empty()) {
            w.peak_current = in<Current<>>(s.fit->peak_amps.value); // smoothing alone leaves more noise
            w.peak_at = in<Time<>>(s.clock(s.begin) + s.fit->peak_seconds);
        } else if (s.raw_peak > 0) {
            w.peak_current = in<Current<>>(s.raw_peak);
            w.peak_at = in<Time<>>(s.clock(s.peak_place));
        } else {
            s.unknown("peak_current_A", "no peak follows the start");
        }
        if (s.settled && s.run_amps > 0) {
            w.run_current = in<Current<>>(s.run_amps);
            w.ripple_current = in<Current<>>(s.ripple_amps);
        } else if (s.fit && s.fit->run_amps.sigma < 0.03 * s.fit->run_amps.value) {
            w.run_current = in<Current<>>(s.fit->run_amps.value);
            s.caution("The capture ends before the current has settled; the run current is where the fit of "
                      "the start leads.");
        } else
            s.unknown("run_current_A",
                      s.settled ? "no current flows" : "the capture ends before the current has settled");
        if (s.amps.zero_known)
            w.clamp.zero = in<Current<>>(s.amps.zero);
        else
            s.unknown("clamp.zero_A", "the capture has no stretch without current");
        w.amps_noise = in<Current<>>(s.amps.noise);
    } else {
        for (const char* key : {"peak_current_A", "run_current_A", "clamp.zero_A"}) s.unknown(key, no_amps);
    }
    if (!s.start)
        s.unknown("start_s",
                  "no switching on stands out: the capture begins while the motor runs, or it never does");
}

void conclude_volts(Study& s) {
    Waveform& w = s.report;
    if (!s.volts.there()) {
        for (const char* key : {"resting_voltage_V", "run_voltage_V", "sag_V"}) s.unknown(key, no_volts);
        return;
    }
    w.volts_noise = in<Voltage<>>(s.volts.noise);
    if (s.run_to > s.run_from + 4 && (s.settled || !s.amps.there()))
        w.run_voltage = in<Voltage<>>(s.run_volts);
    else
        s.unknown("run_voltage_V", "the capture ends before the volts have settled");
    if (!s.start || s.volts.rest_over == 0) {
        s.unknown("resting_voltage_V", "the capture has no stretch before the start");
        s.unknown("sag_V", "the capture has no stretch before the start");
        return;
    }
    if (s.across_part) {
        s.unknown("resting_voltage_V", across_part);
        s.unknown("sag_V", across_part);
        return;
    }
    if (s.behind_switch) {
        s.unknown("resting_voltage_V", "the probe reads nothing before the start: it sits behind the switch");
        s.unknown("sag_V", "the probe sits behind the switch, so the resting level is not seen");
        return;
    }
    w.resting_voltage = in<Voltage<>>(s.volts.rest);
    if (s.volts.bottom) {
        s.unknown("sag_V", fmt::format("the instrument's range ends at {}",
                                       show(in<Voltage<>>(s.volts.bottom->level))));
        return;
    }
    double sag = s.volts.rest - s.low_volts;
    if (s.fit && s.openings.empty() && s.fit->sag_volts.sigma < s.low_sigma) sag = s.fit->sag_volts.value;
    w.sag = in<Voltage<>>(sag);
    w.lowest_voltage = in<Voltage<>>(s.volts.rest - sag);
}

void conclude_turning(Study& s) {
    Waveform& w = s.report;
    const Revolution& r = s.turning;
    if (r.ripple_seconds) w.ripple_period = in<Time<>>(*r.ripple_seconds);
    w.bars = r.bars;
    if (!r.bars) s.unknown("bars", r.why_not);
    if (!r.revolution_seconds) {
        s.unknown("revolution_s", r.why_not);
        s.unknown("speed_rpm", r.why_not);
        return;
    }
    w.revolution = in<Time<>>(*r.revolution_seconds);
    w.speed = in<Speed<>>(2 * std::numbers::pi / *r.revolution_seconds);
    const double run = s.amps.there() ? s.run_amps : s.run_volts;
    if (r.uneven.empty()) return;
    const int first = r.uneven.front().bar;
    for (const UnevenStep& u : r.uneven) {
        const int since = (u.bar - first + *r.bars) % *r.bars;
        w.uneven_bars.push_back({since + 1, in<Current<>>(s.amps.there() ? u.off : 0),
                                 run != 0 ? u.off / run : 0,
                                 in<Time<>>(*r.revolution_seconds * since / *r.bars)});
    }
    if (*r.bars % 4 == 2 && !s.options.bars)
        s.caution(fmt::format("{} ripples pass in a turn: {} bars, or {} when their number is odd (two "
                              "poles, each bar seen by either brush).",
                              *r.bars, *r.bars, *r.bars / 2));
}

void conclude_fit(Study& s) {
    Waveform& w = s.report;
    const auto none = [&](std::initializer_list<const char*> keys, const std::string& reason) {
        for (const char* key : keys) s.unknown(key, reason);
    };
    if (!s.fit) {
        none({"upstream_ohm", "downstream_ohm", "motor.resistance_ohm", "motor.constant_V_s",
              "motor.inductance_H", "motor.inertia_kg_m2", "motor.time_constant_s", "stall_current_A"},
             s.no_fit);
        return;
    }
    const StartFit& f = *s.fit;
    if (f.stall_amps.sigma < too_vague * f.stall_amps.value)
        w.stall_current = estimate<Current<>>(f.stall_amps, 0);
    else
        s.unknown("stall_current_A", "the first instants of the start are not seen well enough");
    if (f.mechanical_seconds.sigma < too_vague * f.mechanical_seconds.value)
        w.motor.time_constant = in<Time<>>(f.mechanical_seconds.value);
    else
        s.unknown("motor.time_constant_s", "the start is too noisy for it");
    w.motor.with_wiring = !s.volts.there() || s.across_part;
    if (w.motor.with_wiring) {
        none({"upstream_ohm", "downstream_ohm", "motor.resistance_ohm", "motor.constant_V_s",
              "motor.inductance_H", "motor.inertia_kg_m2"},
             s.volts.there() ? across_part : no_volts);
        return;
    }
    w.emf = estimate<Voltage<>>(f.emf);
    const double total = f.upstream_ohms.value + f.downstream_ohms.value;
    if (f.upstream_ohms.sigma < 0.2 * total)
        w.upstream = estimate<Resistance<>>(f.upstream_ohms, 0);
    else
        s.unknown("upstream_ohm", "the volts move too little with the current for the noise on them");
    if (f.downstream_ohms.sigma < too_vague * f.downstream_ohms.value) {
        w.downstream = estimate<Resistance<>>(f.downstream_ohms, 0);
        w.motor.resistance = w.downstream->value;
    } else
        none({"downstream_ohm", "motor.resistance_ohm"},
             "the first instants of the start are not seen well enough");
    if (f.log_inductance.sigma < rise_is_seen)
        w.motor.inductance = in<Inductance<>>(f.inductance.value);
    else
        s.unknown("motor.inductance_H", "the current rises within too few samples");
    if (!w.speed || !w.motor.resistance || !w.run_current || !w.run_voltage) {
        none({"motor.constant_V_s", "motor.inertia_kg_m2"},
             w.speed ? "the run or the resistance is not known" : "the speed is not known");
        return;
    }
    const double constant =
        (si(*w.run_voltage) - f.downstream_ohms.value * si(*w.run_current)) / si(*w.speed);
    w.motor.constant = in<MotorConstant<>>(constant);
    w.motor.inertia = in<Inertia<>>(constant * constant / f.rate.value);
}

void conclude_cautions(Study& s) {
    Waveform& w = s.report;
    const double step = s.capture.step_seconds;
    const auto rail = [&](const Channel& c, bool amps) {
        for (const bool top : {true, false}) {
            const auto& r = top ? c.top : c.bottom;
            if (!r) continue;
            const double seconds = step * static_cast<double>(r->longest);
            w.clipped.push_back({amps, top, r->level, in<Time<>>(s.clock(static_cast<double>(r->first))),
                                 in<Time<>>(seconds)});
            s.caution(fmt::format("The {} stand at {} for {}: the instrument's range ends there. Record "
                                  "again in a wider range.",
                                  amps ? "amperes" : "volts",
                                  amps ? show(in<Current<>>(r->level)) : show(in<Voltage<>>(r->level)),
                                  show(in<Time<>>(seconds))));
        }
    };
    rail(s.amps, true);
    rail(s.volts, false);
    if (w.clamp.reversed)
        s.caution(
            "The clamp was on backwards, or its leads swapped: the current is taken with its sign turned.");
    if (w.clamp.zero && w.run_current && std::abs(s.amps.zero) > 0.02 * s.run_amps)
        s.caution(fmt::format(
            "The clamp shows {} without current; that is taken off. Zero it before the next recording.",
            show(*w.clamp.zero)));
    if (!s.amps.hum.empty() || !s.volts.hum.empty()) {
        Hum h{s.amps.hum.empty() ? s.volts.hum[0].hertz : s.amps.hum[0].hertz, {}, {}};
        if (!s.amps.hum.empty()) h.amps = in<Current<>>(s.amps.hum[0].amplitude());
        if (!s.volts.hum.empty()) h.volts = in<Voltage<>>(s.volts.hum[0].amplitude());
        w.hum = h;
        s.caution(fmt::format("Mains hum at {:.0f} Hz is taken off.", h.hertz));
    }
    if (s.start && s.amps.there() && s.raw_peak > 0) {
        const double rise = (s.peak_place - s.begin);
        if (rise < few_samples_in_rise && w.peak_current)
            s.caution(fmt::format(
                "The current rises within {:.0f} sample{}: sampling, or the clamp's bandwidth, is too low to "
                "show the true peak{}.",
                std::max(1.0, rise), rise < 1.5 ? "" : "s",
                w.stall_current ? ", and the stall current rests on the fit alone" : ""));
        else if (w.stall_current && w.peak_current && si(*w.peak_current) < 0.97 * si(w.stall_current->value))
            s.caution("The motor turns already when its current peaks, so the peak is less than the stall "
                      "current.");
    }
    if (!s.openings.empty())
        s.caution(fmt::format("The contact opened {} again after it had closed.",
                              s.openings.size() == 1 ? "once" : fmt::format("{} times", s.openings.size())));
    for (const OpenSpan& o : s.openings)
        w.bounces.push_back({in<Time<>>(s.clock(o.from)), in<Time<>>((o.to - o.from) * step)});
}

} // namespace

void conclude(Study& s) {
    conclude_levels(s);
    conclude_volts(s);
    conclude_turning(s);
    conclude_fit(s);
    conclude_cautions(s);
}

} // namespace lostvolts

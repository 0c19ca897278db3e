// The steady stretch for the commutator's ripple, and the blocks for the start's fit.

#include <algorithm>
#include <cmath>

#include "solver/waveform/study.h"

namespace lostvolts {
namespace {

constexpr std::size_t most_for_ripple = 1u << 18;
constexpr std::size_t most_for_fit = 200'000;
constexpr double fit_falls = 12;       // times the fall that the fit looks at
constexpr double growth = 0.03;        // a block's length as a share of the time since the onset
constexpr double model_share = 0.0005; // of the peak: what no lumped model follows
constexpr double worst_misfit = 0.04;  // of the peak

} // namespace

void find_turning(Study& s) {
    const Channel& c = s.amps.there() ? s.amps : s.volts;
    if (s.run_to <= s.run_from + 64) {
        s.turning.why_not = "the motor does not run long enough in the capture";
        return;
    }
    const Window w = c.window(s.run_from, s.run_to, most_for_ripple);
    RippleStretch stretch{
        w.values, s.capture.step_seconds * static_cast<double>(w.group), {}, s.options.bars};
    // What is left of a slow change is no ripple.
    const double n = static_cast<double>(w.values.size()), middle = mean_of(w.values);
    double slope = 0, square = 0;
    for (std::size_t k = 0; k < w.values.size(); ++k) {
        const double x = static_cast<double>(k) - 0.5 * (n - 1);
        slope += x * (w.values[k] - middle);
        square += x * x;
    }
    slope /= square;
    for (std::size_t k = 0; k < stretch.values.size(); ++k)
        stretch.values[k] -= middle + slope * (static_cast<double>(k) - 0.5 * (n - 1));
    for (const HumLine& line : c.hum) stretch.not_these.push_back(line.hertz);
    s.turning = find_revolution(stretch);
}

void fit_the_start(Study& s) {
    if (!s.start) {
        s.no_fit = "the capture does not show the start";
        return;
    }
    if (!s.amps.there()) {
        s.no_fit = "there is no current in the capture";
        return;
    }
    if (!(s.fall_seconds > 0) || !(s.raw_peak > 0) || !(s.run_amps > 0)) {
        s.no_fit = "the current does not fall from a peak to a run level as a motor's does";
        return;
    }
    const double step = s.capture.step_seconds;
    const auto on = static_cast<std::size_t>(std::floor(s.begin));
    const auto last =
        std::min(s.run_to, on + static_cast<std::size_t>(fit_falls * s.fall_seconds / step) + 2);
    const Window amps = s.amps.window(on, last, most_for_fit);
    const Window volts =
        s.volts.there() && !s.across_part ? s.volts.window(on, last, most_for_fit) : Window{};
    const double wide = step * static_cast<double>(amps.group);

    StartData d;
    d.has_volts = s.volts.there() && !s.across_part;
    d.peak_amps = s.raw_peak;
    d.run_amps = std::min(s.run_amps, 0.95 * s.raw_peak);
    d.run_volts = s.run_volts;
    d.time_constant = s.fall_seconds;
    d.rise_time = std::max(step, (s.peak_place - s.begin) * step);
    d.onset_sigma = 2 * wide + 0.1 * d.rise_time;
    if (d.has_volts && s.volts.rest_over > 0 && !s.behind_switch) {
        d.resting_volts = s.volts.rest;
        d.resting_sigma = std::hypot(s.volts.noise / std::sqrt(static_cast<double>(s.volts.rest_over)),
                                     2e-4 * std::abs(s.volts.rest));
    }
    const double margin = 1.5 * step;
    for (const OpenSpan& o : s.openings)
        d.openings.push_back({(o.from - s.begin) * step, (o.to - s.begin) * step});
    const double ripple_correlation = s.turning.ripple_seconds ? 0.25 * *s.turning.ripple_seconds : 0.5e-3;
    const double noise_amps = s.amps.noise / std::sqrt(static_cast<double>(amps.group));
    const double noise_volts = s.volts.noise / std::sqrt(static_cast<double>(amps.group));
    const double sag = std::max(std::abs(s.volts.rest - s.low_volts), 1e-3 * std::abs(s.run_volts));
    if (s.turning.ripple_seconds)
        d.ripple = BarRipple{1 / *s.turning.ripple_seconds, s.ripple_amps, s.turning.bars.value_or(0)};

    const auto add = [&](FitBlock b, std::size_t n, bool use_amps, bool use_volts) {
        const double length = wide * static_cast<double>(n), root = std::sqrt(static_cast<double>(n));
        b.samples = static_cast<int>(n);
        b.step = wide;
        b.amps_sigma = use_amps ? noise_amps / root : -1;
        b.volts_sigma = use_volts ? std::hypot(noise_volts / root, model_share * sag) : -1;
        // Ripple as independent pieces, a quarter of a bar each: few while the motor is slow, and higher with
        // the current.
        const double pace = 1 - std::exp(-std::max(wide, b.first + 0.5 * length) / s.fall_seconds);
        b.ripple_amps = std::max(1.0, b.amps / s.run_amps) * s.ripple_amps /
                        std::sqrt(std::max(1.0, length * pace / ripple_correlation));
        b.model_amps = model_share * s.raw_peak;
        d.blocks.push_back(b);
    };
    const bool any_rail = s.amps.top || s.amps.bottom || s.volts.top || s.volts.bottom;
    for (std::size_t k = 0; k < amps.values.size();) {
        const auto n =
            std::min(amps.values.size() - k,
                     std::max<std::size_t>(1, static_cast<std::size_t>(growth * static_cast<double>(k))));
        FitBlock b;
        b.first = (amps.place(k) - s.begin) * step;
        bool rail_amps = false, rail_volts = false;
        for (std::size_t j = k; j < k + n; ++j) {
            b.amps += amps.values[j] / static_cast<double>(n);
            if (d.has_volts) b.volts += volts.values[j] / static_cast<double>(n);
            if (any_rail)
                for (std::size_t g = 0; g < amps.group; ++g) {
                    const std::size_t at = amps.first + j * amps.group + g;
                    rail_amps = rail_amps || s.amps.at_rail(s.amps.samples[at]);
                    rail_volts = rail_volts || (d.has_volts && s.volts.at_rail(s.volts.samples[at]));
                }
        }
        const double until = b.first + wide * static_cast<double>(n);
        const bool bounced = std::any_of(d.openings.begin(), d.openings.end(), [&](const OpenSpan& o) {
            return b.first - 0.5 * wide < o.to + margin && until > o.from - margin;
        });
        add(b, n, !bounced && !rail_amps, !bounced && !rail_volts && d.has_volts && b.first > margin);
        k += n;
    }
    // The rest of the run as one: its middle, so that what happens there for a while does no harm.
    if (const std::size_t from = std::max(s.run_from, last); s.settled && s.run_to > from + 16) {
        const Window run_amps = s.amps.window(from, s.run_to, most_for_fit);
        FitBlock b;
        b.first = (static_cast<double>(from) - s.begin) * step;
        b.amps = middle_of_means(run_amps.values);
        if (d.has_volts) b.volts = middle_of_means(s.volts.window(from, s.run_to, most_for_fit).values);
        if (!any_rail) add(b, (s.run_to - from) / amps.group, true, d.has_volts);
    }
    s.fit = fit_start(d);
    if (!s.fit) {
        s.no_fit = "too few clean samples between the start and the run";
    } else if (!s.fit->converged || s.fit->misfit_share > worst_misfit) {
        s.no_fit = "the current does not follow a motor's equation: the supply limits it, the load changes "
                   "during the start, or another load starts with it";
        s.fit.reset();
    }
}

} // namespace lostvolts

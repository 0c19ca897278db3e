// Peak, run and lowest levels of a start, from clean samples.

#include <algorithm>
#include <cmath>

#include "solver/waveform/study.h"

namespace lostvolts {
namespace {

constexpr std::size_t most_samples = 400'000; // in a window; what is longer is averaged
constexpr double first_look = 5.0;            // seconds after the start
constexpr double first_tenth = 0.1;           // seconds: where a start's peak is looked for first
constexpr double longest_run = 4.0;           // seconds of the run that are averaged
constexpr double settled_after = 5;           // times the fall
constexpr double wanted_noise = 0.003;        // of the peak, after smoothing

double deviation(std::span<const double> v) {
    const double middle = mean_of(v);
    double squares = 0;
    for (const double x : v) squares += (x - middle) * (x - middle);
    return v.size() < 2 ? 0 : std::sqrt(squares / static_cast<double>(v.size() - 1));
}

struct Extreme {
    double value = 0, at = 0; ///< at: index
};
/// The greatest of a running parabola over 2·half + 1 values (Savitzky and Golay, Anal. Chem. 36, 1964).
Extreme greatest(std::span<const double> v, std::size_t half) {
    Extreme best{-HUGE_VAL, 0};
    if (v.empty()) return best;
    if (half == 0 || v.size() < 2 * half + 1) {
        const auto it = std::max_element(v.begin(), v.end());
        return {*it, static_cast<double>(it - v.begin())};
    }
    // Weights of the parabola's middle: constant and square terms; both sums slide along.
    const double m = static_cast<double>(half), n = 2 * m + 1;
    const double s2 = n * (n * n - 1) / 12, s4 = s2 * (3 * n * n - 7) / 20, det = n * s4 - s2 * s2;
    double sum = 0, first = 0, square = 0;
    const auto width = 2 * half + 1;
    for (std::size_t j = 0; j < width; ++j) {
        const double x = static_cast<double>(j) - m;
        sum += v[j];
        first += x * v[j];
        square += x * x * v[j];
    }
    for (std::size_t k = half;; ++k) {
        const double value = (s4 * sum - s2 * square) / det;
        if (value > best.value) best = {value, static_cast<double>(k)};
        if (k + half + 1 >= v.size()) break;
        // Move the middle by one: x becomes x − 1 for those that stay.
        const double out = v[k - half], in = v[k + half + 1];
        const double sum_left = sum - out, first_left = first + m * out, square_left = square - m * m * out;
        sum = sum_left + in;
        first = first_left - sum_left + m * in;
        square = square_left - 2 * first_left + sum_left + m * m * in;
    }
    return best;
}

/// Half-width that smooths the noise to the wanted share, not wider than `most` samples.
std::size_t smoothing(double noise, double height, double most) {
    const double ratio = noise / std::max(1e-300, wanted_noise * height);
    const double n = 2.25 * ratio * ratio; // the parabola's middle has 9/(4n) of the variance
    return static_cast<std::size_t>(std::clamp(0.5 * n, 0.0, std::max(0.0, 0.5 * most)));
}

struct Smoothed {
    double value, place, sigma;
};
Smoothed smoothed_peak(const Window& w, double noise_per_sample, double height, double most_values) {
    const double noise = noise_per_sample / std::sqrt(static_cast<double>(w.group));
    const std::size_t half = smoothing(noise, height, most_values);
    const Extreme e = greatest(w.values, half);
    const double n = static_cast<double>(2 * half + 1);
    return {e.value, w.place(static_cast<std::size_t>(e.at)), noise * (half == 0 ? 1 : std::sqrt(2.25 / n))};
}

/// Samples after `from` until the level has come down to 1/e of the way from peak to run; by means of a
/// hundredth of the way each, so that ripple and noise don't stop it early.
double fall_of(const Window& w, std::size_t from, double peak, double run) {
    const double goal = run + 0.368 * (peak - run);
    const std::size_t n = w.values.size();
    std::vector<double> sums(1, 0);
    for (std::size_t k = from; k < n; ++k) sums.push_back(sums.back() + w.values[k]);
    for (std::size_t k = from; k < n; ++k) {
        const std::size_t span = std::max<std::size_t>(1, (k - from) / 6);
        if (k + span > n) break;
        const std::size_t middle = k - from + span / 2;
        if (sums[k - from + span] - sums[k - from] < goal * static_cast<double>(span))
            return static_cast<double>(middle * w.group);
    }
    return 0;
}

/// The peak of the first tenth of a second when the current falls well away from it, else of the whole
/// window.
Smoothed start_peak(const Window& w, double noise, double run, double step) {
    Window early = w;
    early.values.resize(std::min(
        w.values.size(), static_cast<std::size_t>(first_tenth / step / static_cast<double>(w.group)) + 8));
    for (const Window* part : {static_cast<const Window*>(&early), &w}) {
        const Smoothed peak =
            smoothed_peak(*part, noise, *std::max_element(part->values.begin(), part->values.end()), 8);
        const auto index = static_cast<std::size_t>((peak.place - static_cast<double>(w.first)) /
                                                    static_cast<double>(w.group));
        if (part == &w || (peak.value > 1.1 * run && index + 2 < part->values.size() &&
                           fall_of(w, index, peak.value, run) > 0))
            return peak;
    }
    return {};
}

void find_current(Study& s) {
    const double step = s.capture.step_seconds;
    const auto on = static_cast<std::size_t>(std::ceil(s.begin));
    const auto samples = [&](double seconds) { return static_cast<std::size_t>(seconds / step) + 1; };
    std::size_t until = std::min(s.end, on + samples(first_look));
    Window w = s.amps.window(on, until, most_samples);
    if (w.values.size() < 8) return;

    const auto tail =
        std::span(w.values).subspan(w.values.size() - std::max<std::size_t>(1, w.values.size() / 4));
    double run = mean_of(tail);
    const auto rough = start_peak(w, s.amps.noise, run, step);
    const auto peak_index =
        static_cast<std::size_t>((rough.place - static_cast<double>(w.first)) / static_cast<double>(w.group));
    s.fall_seconds = fall_of(w, peak_index, rough.value, run) * step;
    if (w.group > 1 && s.fall_seconds > 0 && s.start) {
        until = std::min(until, on + samples(12 * s.fall_seconds));
        w = s.amps.window(on, until, most_samples);
    }
    // Smoothing must not reach over the rise.
    const double rise = std::max(1.0, (rough.place - s.begin) / static_cast<double>(w.group));
    const double wide = std::max(0.4 * rise, 0.06 * s.fall_seconds / step / static_cast<double>(w.group));
    // The start's own peak: not a disturbance long after it.
    Window near = w;
    const double reach =
        std::max(2 * rise, rise + 0.5 * s.fall_seconds / step / static_cast<double>(w.group)) + 4;
    near.values.resize(
        std::min(near.values.size(), static_cast<std::size_t>(reach) + static_cast<std::size_t>(wide)));
    const auto peak = smoothed_peak(near, s.amps.noise, rough.value, std::min(wide, rise));
    s.raw_peak = peak.value;
    s.peak_place = peak.place;
    s.peak_sigma = peak.sigma;
}

void find_run(Study& s) {
    const double step = s.capture.step_seconds;
    const double on_samples = static_cast<double>(s.end) - s.begin;
    // A switching off takes its time: the last few milliseconds before it are left out.
    const auto guard = s.end < s.capture.size() ? static_cast<std::size_t>(5e-3 / step) + 2 : 0;
    s.run_to = s.end > guard ? s.end - guard : 0;
    const double fall = s.fall_seconds / step;
    const double from = s.begin + std::max(0.5 * on_samples, settled_after * fall);
    s.settled = fall > 0 && from + 0.1 * on_samples < static_cast<double>(s.run_to);
    if (!s.start) s.settled = true; // judged below by its slope
    s.run_from = static_cast<std::size_t>(s.settled ? from : s.begin + 0.7 * on_samples);
    s.run_from = std::max(s.run_from, s.run_to > static_cast<std::size_t>(longest_run / step)
                                          ? s.run_to - static_cast<std::size_t>(longest_run / step)
                                          : 0);
    const auto average = [&](const Channel& c, double& level, double& ripple) {
        if (!c.there() || s.run_to <= s.run_from + 4) return;
        const Window w = c.window(s.run_from, s.run_to, 200'000);
        level = middle_of_means(w.values);
        const double all = deviation(w.values), noise = c.noise / std::sqrt(static_cast<double>(w.group));
        ripple = std::sqrt(std::max(0.0, all * all - noise * noise));
        // Two halves that differ by more than 2 % of the level and clearly more than they scatter: not
        // settled.
        const auto half = w.values.size() / 2;
        const double a = mean_of(std::span(w.values).first(half)),
                     b = mean_of(std::span(w.values).subspan(half));
        if (&c == &s.amps &&
            std::abs(a - b) >
                std::max(0.02 * std::abs(level), 6 * all / std::sqrt(static_cast<double>(w.values.size()))))
            s.settled = false;
    };
    average(s.amps, s.run_amps, s.ripple_amps);
    average(s.volts, s.run_volts, s.ripple_volts);
}

void find_lowest(Study& s) {
    const double step = s.capture.step_seconds;
    s.behind_switch = s.volts.rest_over > 0 && std::abs(s.volts.rest) < 0.25 * std::abs(s.run_volts);
    if (s.behind_switch || !s.start) return;
    const auto on = static_cast<std::size_t>(std::ceil(s.begin));
    const double reach = s.fall_seconds > 0 ? 6 * s.fall_seconds : first_look;
    Window w =
        s.volts.window(on, std::min(s.end, on + static_cast<std::size_t>(reach / step) + 2), most_samples);
    for (double& v : w.values) v = -v;
    if (w.values.size() < 8) return;
    const double wide = s.fall_seconds > 0 ? 0.06 * s.fall_seconds / step / static_cast<double>(w.group) : 3;
    const double rise =
        s.amps.there() ? std::max(1.0, (s.peak_place - s.begin) / static_cast<double>(w.group)) : wide;
    const auto low =
        smoothed_peak(w, s.volts.noise, std::abs(s.volts.rest - s.run_volts) + 0.01 * std::abs(s.run_volts),
                      std::min(wide, rise));
    s.low_volts = -low.value;
    s.low_place = low.place;
    s.low_sigma = low.sigma;
}

/// Whether the volts go up with the current while it flows, as across a part that carries it; a source's, or
/// a motor's, go down.
bool rise_with_current(const Study& s) {
    constexpr double stands_out = 6; // standard deviations of the slope
    constexpr std::size_t most = 20'000;
    const auto on = static_cast<std::size_t>(std::ceil(s.begin));
    if (!s.amps.there() || !s.volts.there() || s.run_to <= on + 32) return false;
    const Window amps = s.amps.window(on, s.run_to, most), volts = s.volts.window(on, s.run_to, most);
    std::vector<double> i, v;
    for (std::size_t k = 0; k < amps.values.size(); ++k) {
        if (amps.values[k] < 0.3 * s.run_amps) continue; // before the rise, and where the contact bounces
        i.push_back(amps.values[k]);
        v.push_back(volts.values[k]);
    }
    const double mean_i = mean_of(i), mean_v = mean_of(v);
    double ii = 0, iv = 0, vv = 0;
    for (std::size_t k = 0; k < i.size(); ++k) {
        ii += (i[k] - mean_i) * (i[k] - mean_i);
        iv += (i[k] - mean_i) * (v[k] - mean_v);
        vv += (v[k] - mean_v) * (v[k] - mean_v);
    }
    if (i.size() < 8 || !(ii > 0)) return false;
    const double left = std::max(0.0, vv - iv * iv / ii) / static_cast<double>(i.size() - 2);
    return iv > 0 && iv / ii > stands_out * std::sqrt(left / ii);
}

/// Without amperes the fall is that of the volts back up from their lowest.
void find_recovery(Study& s) {
    const double step = s.capture.step_seconds;
    const auto on = static_cast<std::size_t>(std::ceil(s.begin));
    Window w =
        s.volts.window(on, std::min(s.end, on + static_cast<std::size_t>(first_look / step)), most_samples);
    if (w.values.size() < 8) return;
    for (double& v : w.values) v = -v;
    const auto tail =
        std::span(w.values).subspan(w.values.size() - std::max<std::size_t>(1, w.values.size() / 4));
    const auto low = smoothed_peak(w, s.volts.noise, std::abs(s.volts.rest + mean_of(tail)), 8);
    const auto index =
        static_cast<std::size_t>((low.place - static_cast<double>(w.first)) / static_cast<double>(w.group));
    s.fall_seconds = fall_of(w, index, low.value, mean_of(tail)) * step;
}

} // namespace

void find_levels(Study& s) {
    if (s.amps.there())
        find_current(s);
    else
        find_recovery(s);
    find_run(s);
    if (s.volts.there()) find_lowest(s);
    s.across_part = rise_with_current(s);
}

void find_bounces(Study& s) {
    if (!s.start) return;
    constexpr double longest_bouncing = 0.06; // seconds after the contact first closes
    const double step = s.capture.step_seconds;
    const Channel& c = s.amps.there() ? s.amps : s.volts;
    if (!s.amps.there() && !s.behind_switch) return; // the source side's volts don't show it surely
    const auto on = static_cast<std::size_t>(std::ceil(s.begin));
    const auto last = std::min(
        s.end,
        on + static_cast<std::size_t>(std::min(longest_bouncing, std::max(0.01, s.fall_seconds)) / step) + 2);
    const Window w = c.window(on > 2 ? on - 2 : 0, last, most_samples);
    for (const OpenSpan& o :
         find_openings(w.values, 0, w.values.size(), c.noise / std::sqrt(static_cast<double>(w.group)))) {
        const auto place = [&](double k) {
            return static_cast<double>(w.first) + static_cast<double>(w.group) * (k + 0.5) - 0.5;
        };
        s.openings.push_back({place(o.from), place(o.to)});
    }
}

} // namespace lostvolts

// The order of the work: starts, clean-up, features, revolution, fit; each fills its part of the report.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/units/text.h"
#include "solver/waveform/study.h"

namespace lostvolts {
namespace {

constexpr double longest_quiet = 2.0; ///< seconds before the start that are looked at

/// A jump after which hardly anything is left is a switching off, not a start.
bool switches_off(std::span<const double> x, const Starts& starts, double step) {
    if (starts.all.empty()) return false;
    const auto on = static_cast<std::size_t>(starts.all[0].on);
    const auto away = static_cast<std::size_t>(0.02 / step) + 2,
               look = static_cast<std::size_t>(0.05 / step) + 4;
    if (on + away + 2 >= x.size()) return false;
    const double after = mean_of(x.subspan(on + away, std::min(look, x.size() - on - away)));
    const std::size_t begin = on > look ? on - look : 0;
    const double before =
        mean_of(x.subspan(begin, std::max<std::size_t>(1, on > begin + 2 ? on - begin - 2 : 1)));
    return std::abs(after) < 0.3 * std::abs(before);
}

/// All starts of the channel that leads; `tail_off` is where a record that begins while running is switched
/// off.
Starts all_starts(std::span<const double> x, double step, bool current,
                  std::optional<std::size_t>& tail_off) {
    Starts found = find_starts(x, step);
    if (!current || !switches_off(x, found, step)) return found;
    tail_off = static_cast<std::size_t>(found.all[0].on);
    const std::size_t from = *tail_off + static_cast<std::size_t>(0.02 / step) + 2;
    if (from + 64 >= x.size()) return {};
    Starts later = find_starts(x.subspan(from), step);
    for (Start& s : later.all) {
        s.on += static_cast<double>(from);
        s.quiet += from;
        s.off += from;
    }
    return later;
}

bool all_zero(const std::vector<double>& x) {
    return !x.empty() && std::all_of(x.begin(), x.end(), [](double v) { return v == 0; });
}

Channel channel_of(const std::vector<double>& samples, double step) {
    Channel c;
    c.samples = samples;
    c.step = step;
    return c;
}

} // namespace

Result<Waveform> analyse(const Capture& capture, const WaveformOptions& options) {
    const double step = capture.step_seconds;
    const bool no_amps = all_zero(capture.amps), no_volts = all_zero(capture.volts);
    if ((no_amps || capture.amps.empty()) && (no_volts || capture.volts.empty()))
        return Problem{capture.file,
                       {},
                       "holds nothing but zeros",
                       "check the leads, the clamp's battery and the channel, and record again",
                       ""};
    Study s(capture, options);
    Waveform& w = s.report;
    w.samples = capture.size();
    w.step = from_si<Time<>>(step);
    w.duration = from_si<Time<>>(step * static_cast<double>(capture.size() - 1));
    w.cautions = capture.repairs;
    if (no_amps)
        s.caution("The amperes are 0 throughout and left aside: the clamp was off or not on this lead, or no "
                  "current flowed.");
    else
        s.amps = channel_of(capture.amps, step);
    if (no_volts)
        s.caution("The volts are 0 throughout and left aside: a lead was off, or this is another channel.");
    else
        s.volts = channel_of(capture.volts, step);

    const bool current = s.amps.there();
    std::optional<std::size_t> tail_off;
    const Starts starts = all_starts(current ? s.amps.samples : s.volts.samples, step, current, tail_off);
    for (const Start& one : starts.all)
        w.starts.push_back(from_si<Time<>>(capture.start_seconds + step * one.on));
    if (options.start < 1 || (options.start > 1 && options.start > static_cast<int>(starts.all.size()))) {
        Problem p;
        p.file = capture.file;
        p.what = fmt::format("has {} start{}, so there is no start {}", starts.all.size(),
                             starts.all.size() == 1 ? "" : "s", options.start);
        p.write = starts.all.empty() ? "leave --start out"
                                     : fmt::format("give --start a number from 1 to {}", starts.all.size());
        return p;
    }
    std::size_t quiet_first = 0, quiet_last = 0;
    if (!starts.all.empty()) {
        w.chosen = options.start - 1;
        s.start = starts.all[static_cast<std::size_t>(w.chosen)];
        const auto guard = static_cast<double>(std::max(1.0, 0.2e-3 / step));
        quiet_last = static_cast<std::size_t>(std::max(0.0, s.start->on - guard));
        const auto reach = static_cast<std::size_t>(longest_quiet / step);
        quiet_first = std::max(s.start->quiet, quiet_last > reach ? quiet_last - reach : 0);
        w.start = w.starts[static_cast<std::size_t>(w.chosen)];
        s.begin = s.start->on;
        s.end = s.start->off;
        if (current) {
            s.amps.direction = starts.direction;
            w.clamp.reversed = starts.direction < 0;
        }
        if (starts.all.size() > 1)
            w.cautions.push_back(
                fmt::format("The file holds {} starts; this is number {}. --start N takes another.",
                            starts.all.size(), options.start));
    } else {
        s.begin = 0;
        s.end = tail_off.value_or(capture.size());
        if (current && tail_off && *tail_off + 64 < capture.size()) {
            quiet_first = *tail_off + static_cast<std::size_t>(0.02 / step) + 2;
            quiet_last = capture.size();
        }
    }
    study(s.amps, true, quiet_first, quiet_last, starts.all.empty() ? capture.size() : s.end);
    if (starts.all.empty())
        study(s.volts, false, 0, 0, s.end); // what stands there is no resting level
    else
        study(s.volts, false, quiet_first, quiet_last, s.end);
    if (starts.all.empty() && current) {
        const Window all = s.amps.window(0, s.end, 10'000);
        if (mean_of(all.values) < 0) {
            s.amps.direction = -1;
            w.clamp.reversed = true;
        }
    }
    find_levels(s);
    find_bounces(s);
    find_turning(s);
    fit_the_start(s);
    conclude(s);
    return std::move(s.report);
}

} // namespace lostvolts

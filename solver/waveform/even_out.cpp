// Rows to even steps of time.

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "solver/units/text.h"
#include "solver/waveform/rows.h"

namespace lostvolts {
namespace {

constexpr std::size_t fewest_rows = 16;
constexpr double most_backward = 0.01;     ///< of the rows; beyond it the file is two recordings or none
constexpr double most_bridged = 0.10;      ///< of the rows: what straight lines may stand in for
constexpr double gap_steps = 1.5;          ///< of the usual step: a longer one is a gap
constexpr double cut_steps = 20;           ///< a gap of that many steps is cut at when not all can be bridged
constexpr double shortest_glitch = 0.1e-3; ///< seconds of a sample: below it glitches are averaged away
constexpr double spike_share = 0.15; ///< of a channel's range: what leaps further out than that is a glitch
constexpr double usual_step_of = 200e3; ///< steps looked at for the usual one

std::string shown(double seconds) { return show(from_si<Time<>>(seconds)); }

/// Every row lies within half a step of its even place.
bool even_already(const std::vector<double>& t, double step) {
    double worst = 0;
    for (std::size_t k = 0; k < t.size(); ++k) {
        const double off = std::abs(t[k] - (t[0] + step * static_cast<double>(k)));
        worst = off > worst ? off : worst;
    }
    return worst <= 0.5 * step;
}

double usual_step(const std::vector<double>& t) {
    std::vector<double> steps;
    const auto stride =
        std::max<std::size_t>(1, static_cast<std::size_t>(static_cast<double>(t.size()) / usual_step_of));
    for (std::size_t k = 1; k < t.size(); k += stride)
        if (t[k] > t[k - 1]) steps.push_back(t[k] - t[k - 1]);
    if (steps.empty()) return 0;
    const auto middle = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 2);
    std::nth_element(steps.begin(), middle, steps.end());
    return *middle;
}

Problem at_row(const Rows& rows, std::size_t k, std::string what, std::string write) {
    return {rows.file, {rows.line_of(k), 1, 1}, std::move(what), std::move(write), ""};
}

/// Time that is written too coarsely: many equal values, each next one a step of the last digit.
bool coarse_time(const std::vector<double>& t, double step) {
    std::size_t equal = 0;
    for (std::size_t k = 1; k < t.size(); ++k) {
        if (t[k] < t[k - 1] || t[k] - t[k - 1] > 1.5 * step) return false;
        equal += t[k] == t[k - 1];
    }
    return 5 * equal > t.size();
}

template <class Each> void each_channel(Rows& rows, Each each) {
    each(rows.volts);
    each(rows.amps);
}

/// Leaves out rows whose time is not later than all before them.
std::optional<Problem> drop_backward(Rows& rows) {
    std::size_t kept = 0, dropped = 0, first = 0;
    double latest = -HUGE_VAL;
    for (std::size_t k = 0; k < rows.seconds.size(); ++k) {
        if (!(rows.seconds[k] > latest)) {
            if (dropped++ == 0) first = k;
            continue;
        }
        latest = rows.seconds[kept] = rows.seconds[k];
        each_channel(rows, [&](std::vector<double>& c) {
            if (!c.empty()) c[kept] = c[k];
        });
        ++kept;
    }
    if (dropped == 0) return std::nullopt;
    const int line = rows.line_of(first);
    if (static_cast<double>(dropped) >
        std::max(1.0, most_backward * static_cast<double>(rows.seconds.size())))
        return at_row(
            rows, first,
            fmt::format("time stands still or runs backwards here, and in {} rows altogether", dropped),
            "cut the file here if two recordings follow each other; check --time-column otherwise");
    rows.seconds.resize(kept);
    each_channel(rows, [&](std::vector<double>& c) {
        if (!c.empty()) c.resize(kept);
    });
    rows.repairs.push_back(fmt::format("{} row{} skipped: time does not go forward ({}line {}).", dropped,
                                       dropped == 1 ? "" : "s", dropped == 1 ? "" : "first on ", line));
    return std::nullopt;
}

struct Stretch {
    std::size_t first = 0, last = 0; ///< rows, both in it
    double length(const std::vector<double>& t) const { return t[last] - t[first]; }
};

/// The stretch to keep: all of it when the gaps are few, else the longest between large gaps.
Stretch worth_keeping(Rows& rows, double step) {
    const std::vector<double>& t = rows.seconds;
    double missing = 0, worst = 0;
    std::size_t gaps = 0, first = 0;
    Stretch longest, current;
    for (std::size_t k = 1; k < t.size(); ++k) {
        const double steps = (t[k] - t[k - 1]) / step;
        if (steps > gap_steps) {
            missing += steps - 1;
            worst = std::max(worst, steps * step);
            if (gaps++ == 0) first = k;
        }
        if (steps > cut_steps) {
            if (current.length(t) > longest.length(t)) longest = current;
            current.first = k;
        }
        current.last = k;
    }
    if (current.length(t) > longest.length(t)) longest = current;
    if (gaps == 0) return {0, t.size() - 1};
    const bool whole = longest.first == 0 && longest.last + 1 == t.size();
    if (whole || missing <= most_bridged * static_cast<double>(t.size())) {
        rows.repairs.push_back(
            fmt::format("{} gap{} in time bridged by straight lines, the longest {} (first at line {}).",
                        gaps, gaps == 1 ? "" : "s", shown(worst), rows.line_of(first)));
        return {0, t.size() - 1};
    }
    rows.repairs.push_back(fmt::format(
        "{} gap{} in time, the longest {}: only the longest stretch without one is used, "
        "lines {} to {}.",
        gaps, gaps == 1 ? "" : "s", shown(worst), rows.line_of(longest.first), rows.line_of(longest.last)));
    return longest;
}

/// Values on even steps, by straight lines between rows.
void resample(std::vector<double>& channel, const std::vector<double>& t, Stretch s, double step,
              std::size_t count) {
    if (channel.empty()) return;
    std::vector<double> even(count);
    std::size_t k = s.first;
    for (std::size_t n = 0; n < count; ++n) {
        const double at = t[s.first] + step * static_cast<double>(n);
        while (k + 1 < s.last && t[k + 1] < at) ++k;
        const double share = std::clamp((at - t[k]) / (t[k + 1] - t[k]), 0.0, 1.0);
        even[n] = channel[k] + share * (channel[k + 1] - channel[k]);
    }
    channel = std::move(even);
}

double middle_of_five(const double* v) {
    double a[5] = {v[0], v[1], v[2], v[3], v[4]};
    std::nth_element(a, a + 2, a + 5);
    return a[2];
}

/// Takes out glitches: one sample or two that leap out of all that the channel otherwise does. A contact that
/// opens falls to rest, which is within it, and stays. Fast captures have samples enough to bear a glitch.
std::size_t take_out_spikes(std::vector<double>& x, double step) {
    if (x.size() < 16 || step < shortest_glitch) return 0;
    double low = HUGE_VAL, high = -HUGE_VAL;
    std::vector<double> middle(x.size());
    for (std::size_t k = 2; k + 2 < x.size(); ++k) {
        middle[k] = middle_of_five(&x[k - 2]);
        low = std::min(low, middle[k]);
        high = std::max(high, middle[k]);
    }
    std::size_t count = 0;
    const double beyond = spike_share * (high - low);
    for (std::size_t k = 2; k + 2 < x.size(); ++k)
        if (x[k] > high + beyond || x[k] < low - beyond) {
            x[k] = middle[k];
            ++count;
        }
    return count;
}

Capture finished(Rows& rows, double start, double step, std::size_t rows_read) {
    std::size_t spikes = 0;
    each_channel(rows, [&](std::vector<double>& c) { spikes += take_out_spikes(c, step); });
    if (spikes > 0)
        rows.repairs.push_back(
            fmt::format("{} glitch{} of one or two samples taken out.", spikes, spikes == 1 ? "" : "es"));
    return {std::move(rows.file),   start, step, rows_read, std::move(rows.volts), std::move(rows.amps),
            std::move(rows.repairs)};
}

} // namespace

Result<Capture> even_out(Rows rows) {
    std::vector<double>& t = rows.seconds;
    const std::size_t read = t.size();
    const auto too_few = [&](std::size_t n) {
        return Problem{rows.file,
                       {},
                       fmt::format("has only {} row{} of numbers", n, n == 1 ? "" : "s"),
                       fmt::format("record at least {}; a start wants a thousand or more", fewest_rows),
                       ""};
    };
    if (read < fewest_rows) return too_few(read);
    const double step = (t.back() - t.front()) / static_cast<double>(read - 1);
    if (step > 0 && even_already(t, step)) {
        const double start = t.front();
        std::vector<double>().swap(t);
        return finished(rows, start, step, read);
    }
    const double usual = usual_step(t);
    if (usual <= 0) return at_row(rows, 1, "time does not go forward in any row", "check --time-column");
    if (coarse_time(t, usual)) {
        rows.repairs.push_back(
            fmt::format("The time column has too few digits: rows are taken as {} apart.", shown(step)));
        return finished(rows, t.front(), step, read);
    }
    if (auto problem = drop_backward(rows)) return *std::move(problem);
    if (t.size() < fewest_rows) return too_few(t.size());
    const double even = usual_step(t);
    const Stretch s = worth_keeping(rows, even);
    if (s.last - s.first + 1 < fewest_rows) return too_few(s.last - s.first + 1);
    const auto count = static_cast<std::size_t>(std::lround(s.length(t) / even)) + 1;
    const double start = t[s.first];
    if (s.last - s.first + 1 == count && s.last - s.first + 1 == t.size())
        rows.repairs.push_back(fmt::format("Steps of time are uneven; evened out to {}.", shown(even)));
    each_channel(rows, [&](std::vector<double>& c) { resample(c, t, s, even, count); });
    std::vector<double>().swap(t);
    return finished(rows, start, even, read);
}

} // namespace lostvolts

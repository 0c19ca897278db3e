#include "solver/waveform/start.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {
namespace {

constexpr double shortest_look =
    0.5e-3; // seconds in a block: a contact closes and the current rises within it
constexpr std::size_t most_blocks = 200'000;
constexpr double stands_out = 6;             // of the noise of differences
constexpr double share_of_range = 0.25;      // a start is at least that much of all that the channel does
constexpr double alike = 0.5;                // another start, as a share of the greatest
constexpr double settled_off_seconds = 0.02; // off for that long is off, shorter is a bounce

struct Jumps {
    std::vector<double> size; ///< mean of the next block less mean of the one before
    double greatest = 0;
    double noise = 0;
};

Jumps jumps_of(const std::vector<double>& m) {
    Jumps j;
    j.size.assign(m.size(), 0);
    std::vector<double> sizes;
    for (std::size_t k = 1; k + 1 < m.size(); ++k) {
        j.size[k] = m[k + 1] - m[k - 1];
        j.greatest = std::max(j.greatest, std::abs(j.size[k]));
        sizes.push_back(std::abs(j.size[k]));
    }
    j.noise = median_of(std::move(sizes)) / 0.6745;
    return j;
}

/// Where the channel leaves its resting level: first of several samples in a row beyond the threshold, then
/// back along the rise to the level.
double leaving(std::span<const double> x, std::size_t from, std::size_t to, double level, double direction,
               double noise, double jump) {
    const double threshold = std::max(4 * noise, 0.05 * jump);
    std::size_t k = from;
    const auto beyond = [&](std::size_t n) { return n < x.size() && direction * (x[n] - level) > threshold; };
    while (k < to && !(beyond(k) && (beyond(k + 1) || k + 1 >= x.size()))) ++k;
    if (k >= to || k == 0) return static_cast<double>(k);
    const double here = direction * (x[k] - level), before = direction * (x[k - 1] - level);
    // Along the line through this sample and the next, no further back than the sample before.
    const double next = k + 1 < x.size() ? direction * (x[k + 1] - level) : here;
    const double slope = std::max({here - before, next - here, 1e-30});
    return static_cast<double>(k) - std::clamp(here / slope, 0.0, 1.0);
}

} // namespace

Starts find_starts(std::span<const double> x, double step_seconds) {
    Starts found;
    const auto samples_in = [&](double seconds) {
        return static_cast<std::size_t>(std::max(1.0, std::round(seconds / step_seconds)));
    };
    for (int longer = 0; std::ldexp(shortest_look, longer) < 0.5; longer += 3) {
        const double look = std::ldexp(shortest_look, longer);
        const std::size_t block = std::max(samples_in(look), x.size() / most_blocks);
        if (x.size() / block < 8) break;
        const Overview o = overview_of(x, block);
        const std::vector<double>& m = o.mean;
        const Jumps jumps = jumps_of(m);
        const auto [low, high] = std::minmax_element(m.begin(), m.end());
        if (!(jumps.greatest > stands_out * jumps.noise) || jumps.greatest < share_of_range * (*high - *low))
            continue;

        const auto first = static_cast<std::size_t>(
            std::find_if(jumps.size.begin(), jumps.size.end(),
                         [&](double j) { return std::abs(j) > 0.6 * jumps.greatest; }) -
            jumps.size.begin());
        found.direction = jumps.size[first] > 0 ? 1 : -1;
        const std::size_t quiet_blocks = first > 1 ? first - 1 : first;
        found.level_off = mean_of(std::span(m).first(std::max<std::size_t>(1, quiet_blocks)));
        const double noise =
            noise_of(x.subspan(0, std::max<std::size_t>(8, std::min(first * block, x.size()))));
        const auto above = [&](std::size_t k) { return found.direction * (m[k] - found.level_off); };
        const std::size_t settled = std::max<std::size_t>(3, samples_in(settled_off_seconds) / block);

        std::size_t off_since = 0;
        for (std::size_t k = std::max<std::size_t>(1, first); k + 1 < m.size(); ++k) {
            const double jump = found.direction * jumps.size[k];
            if (jump < alike * jumps.greatest || above(k - 1) > 0.3 * jumps.greatest) continue;
            Start s;
            s.quiet = off_since * block;
            const std::size_t from = (k > 2 ? k - 2 : 0) * block;
            s.on = leaving(x, from, std::min(x.size(), (k + 3) * block), found.level_off, found.direction,
                           noise, jumps.greatest);
            // On until the channel stays near its resting level.
            double running = 0;
            std::size_t e = k + 1, low_for = 0;
            for (; e < m.size() && low_for < settled; ++e) {
                running = std::max(0.999 * running, above(e));
                const bool off = above(e) < 0.12 * running;
                low_for = off ? low_for + 1 : 0;
            }
            const bool ended = low_for >= settled;
            s.off = ended ? (e - low_for) * block : x.size();
            found.all.push_back(s);
            off_since = ended ? e - low_for + 1 : e;
            k = e;
        }
        if (!found.all.empty()) return found;
    }
    return found;
}

std::vector<OpenSpan> find_openings(std::span<const double> i, std::size_t from, std::size_t span,
                                    double noise) {
    std::vector<OpenSpan> found;
    double reached = 0;
    std::optional<OpenSpan> open;
    const std::size_t end = std::min(i.size(), from + span);
    for (std::size_t k = from; k < end; ++k) {
        const double threshold = std::max(0.15 * reached, 5 * noise);
        if (i[k] > threshold) {
            if (open) {
                // Crossings between samples; the current came back in a rise that began at nothing.
                const double before = std::max(0.0, i[k - 1]);
                open->to = static_cast<double>(k) -
                           std::clamp((i[k] - threshold) / std::max(1e-30, i[k] - before), 0.0, 1.0);
                found.push_back(*open);
                open.reset();
            }
            reached = std::max(reached, i[k]);
        } else if (!open && reached > 2.5 * threshold && k > from) {
            const double share =
                std::clamp((i[k - 1] - threshold) / std::max(1e-30, i[k - 1] - i[k]), 0.0, 1.0);
            open = OpenSpan{static_cast<double>(k - 1) + share, 0};
        }
    }
    // A single noisy sample is no opening.
    std::erase_if(found, [&](const OpenSpan& o) { return noise > 0 && o.to - o.from < 1.2; });
    return found;
}

} // namespace lostvolts

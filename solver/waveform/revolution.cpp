#include "solver/waveform/revolution.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "solver/waveform/comb.h"
#include "solver/waveform/overview.h"

namespace lostvolts {
namespace {

constexpr int fewest_bars = 3;
constexpr double fewest_turns = 4;
constexpr double slowest_hertz = 1.5;
constexpr double fewest_samples_a_bar = 4; // fewer, and what repeats may be an alias
constexpr double convincing = 1e3;         // times the noise: then no tooth of the turn is missed
constexpr double plain_to_see = 1e5;       // a ripple so clear of the noise leaves no odd bar hidden in it
constexpr double fold_share = 0.01;        // of the strongest line's power
constexpr double most_turns_folded = 60;   // beyond them the speed's wander would smear the bars

/// The tooth that stands out of its neighbours: a bad bar lifts all teeth smoothly, the bars lift their own.
std::optional<int> count_bars(const Comb& comb) {
    double best = 0;
    std::optional<int> bars;
    const int teeth = static_cast<int>(comb.tooth.size());
    for (int n = fewest_bars; n <= teeth; ++n) {
        if (comb.over_floor[static_cast<std::size_t>(n - 1)] == 0) continue;
        std::vector<double> neighbours;
        for (int d = 1; d <= 2; ++d)
            for (const int h : {n - d, n + d})
                if (h >= 1 && h <= teeth) neighbours.push_back(comb.tooth[static_cast<std::size_t>(h - 1)]);
        const double here = comb.tooth[static_cast<std::size_t>(n - 1)];
        const double out = here / (median_of(neighbours) + 1e-12 * here);
        // Strength counts too, or a weak multiple in a quiet neighbourhood would win over the bars
        // themselves.
        const double merit = std::min(out, 1e4) * std::sqrt(here);
        if (out > 3 && merit > best) {
            best = merit;
            bars = n;
        }
    }
    return bars;
}

/// A bad bar alone, one bar wide, leaves gaps at every tooth that is a multiple of the number of bars.
std::optional<int> count_bars_by_gaps(const Comb& comb) {
    const auto gap = [&](std::size_t h) {
        return comb.tooth[h - 1] < 0.15 * std::min(comb.tooth[h - 2], comb.tooth[h]) &&
               comb.over_floor[h - 2] > 0 && comb.over_floor[h] > 0;
    };
    for (std::size_t n = fewest_bars; 2 * n < comb.tooth.size(); ++n)
        if (gap(n) && gap(2 * n)) return static_cast<int>(n);
    return std::nullopt;
}

struct Phase {
    double amplitude = 0, angle = 0;
};
Phase phase_at(std::span<const double> x, double cycles_per_value) {
    double c = 0, s = 0;
    for (std::size_t k = 0; k < x.size(); ++k) {
        const double a = 2 * std::numbers::pi * cycles_per_value * static_cast<double>(k);
        c += x[k] * std::cos(a);
        s += x[k] * std::sin(a);
    }
    const double n = 0.5 * static_cast<double>(x.size());
    return {std::hypot(c, s) / n, std::atan2(-s, c)};
}

/// Mean of each bar's cell in every turn; the spread of that mean from turn to turn says how sure it is.
std::vector<UnevenStep> uneven_cells(const RippleStretch& stretch, double turn_seconds, int bars,
                                     double shift) {
    const double per_turn = turn_seconds / stretch.step_seconds;
    if (per_turn < 2.0 * bars) return {};
    const auto want = static_cast<std::size_t>(per_turn * most_turns_folded);
    const std::size_t from = stretch.values.size() > want ? stretch.values.size() - want : 0;
    const std::span<const double> x = std::span(stretch.values).subspan(from);
    // The bar ripple's phase sets where the cells begin: half a bar before its crest, less the shift.
    const Phase phase = phase_at(x, bars / per_turn);
    const double crest = -phase.angle / (2 * std::numbers::pi) - shift; // in bars, at value 0
    const auto turns = static_cast<std::size_t>(static_cast<double>(x.size()) / per_turn);
    if (turns < 3) return {};
    std::vector<std::vector<double>> means(static_cast<std::size_t>(bars));
    std::vector<double> sum(static_cast<std::size_t>(bars), 0), number(static_cast<std::size_t>(bars), 0);
    long turn = 0;
    const auto close_turn = [&] {
        double level = 0;
        for (std::size_t b = 0; b < sum.size(); ++b) level += sum[b] / std::max(1.0, number[b]) / bars;
        for (std::size_t b = 0; b < sum.size(); ++b) {
            if (number[b] > 0) means[b].push_back(sum[b] / number[b] - level);
            sum[b] = number[b] = 0;
        }
    };
    for (std::size_t k = 0; k < x.size(); ++k) {
        const double bar = static_cast<double>(k) * bars / per_turn - crest + 0.5 + bars;
        const long index = static_cast<long>(std::floor(bar));
        if (index / bars != turn) {
            if (turn > 1) close_turn();
            std::fill(sum.begin(), sum.end(), 0);
            std::fill(number.begin(), number.end(), 0);
            turn = index / bars;
        }
        const auto b = static_cast<std::size_t>(index % bars);
        sum[b] += x[k];
        number[b] += 1;
    }
    std::vector<UnevenStep> all;
    std::vector<double> levels;
    for (int b = 0; b < bars; ++b) {
        const auto& m = means[static_cast<std::size_t>(b)];
        if (m.size() < 2) return {};
        const double mean = mean_of(m);
        double squares = 0;
        for (const double v : m) squares += (v - mean) * (v - mean);
        all.push_back(
            {b, mean,
             std::sqrt(squares / static_cast<double>(m.size() - 1) / static_cast<double>(m.size()))});
        levels.push_back(mean);
    }
    const double middle = median_of(levels);
    std::vector<double> sizes;
    sizes.reserve(all.size());
    for (UnevenStep& u : all) sizes.push_back(std::abs(u.off -= middle));
    const double usual = median_of(sizes), greatest = *std::max_element(sizes.begin(), sizes.end());
    std::erase_if(all, [&](const UnevenStep& u) {
        const double size = std::abs(u.off);
        return size < 5 * u.spread || size < 4 * usual || size < 0.5 * greatest ||
               size < 0.05 * phase.amplitude;
    });
    std::sort(all.begin(), all.end(),
              [](const UnevenStep& a, const UnevenStep& b) { return std::abs(a.off) > std::abs(b.off); });
    return all;
}

/// A bar's own stretch begins at a crest of the ripple or between two: whichever way shows a bar further off.
std::vector<UnevenStep> uneven_bars(const RippleStretch& stretch, double turn_seconds, int bars) {
    auto at_crests = uneven_cells(stretch, turn_seconds, bars, 0);
    auto between = uneven_cells(stretch, turn_seconds, bars, 0.5);
    const auto reach = [](const std::vector<UnevenStep>& u) {
        return u.empty() ? 0.0 : std::abs(u.front().off);
    };
    return reach(between) > reach(at_crests) ? between : at_crests;
}

} // namespace

Revolution find_revolution(const RippleStretch& stretch) {
    Revolution found;
    const double length = stretch.step_seconds * static_cast<double>(stretch.values.size());
    if (stretch.values.size() < 128) {
        found.why_not = "the steady stretch is too short";
        return found;
    }
    const double lowest = std::max(slowest_hertz, fewest_turns / length);
    const Spectrum spectrum = spectrum_of(stretch.values, stretch.step_seconds);
    const std::vector<SpectrumLine> lines = find_lines(spectrum, lowest, stretch.not_these);
    const auto comb = find_comb(lines, spectrum, lowest);
    if (!comb) {
        found.why_not = "no ripple of the commutator stands out of the noise";
        return found;
    }
    if (comb->explained < 0.8) {
        found.why_not = "the ripple's frequencies fit no one pattern: the sampling is too slow for the bars, "
                        "or the speed wanders";
        return found;
    }
    // Bars that pass faster than the samples come fold back anywhere below half the sampling rate: strength
    // in the upper half of the spectrum says that the lines may not be where they seem.
    const double quarter = 0.25 / stretch.step_seconds;
    double above = 0, below = 0;
    for (const SpectrumLine& l : lines)
        (l.hertz > quarter ? above : below) = std::max(l.hertz > quarter ? above : below, l.power);
    if (above > fold_share * below) {
        found.why_not =
            "the sampling is too slow for the bars: their ripple reaches past half the sampling rate";
        return found;
    }

    const auto strongest =
        static_cast<int>(std::max_element(comb->tooth.begin(), comb->tooth.end()) - comb->tooth.begin()) + 1;
    auto bars = count_bars(*comb);
    if (!bars) bars = count_bars_by_gaps(*comb);
    if (!bars && strongest > 2) {
        found.why_not = "nothing marks a whole turn among the ripples; --bars tells the speed from them";
        return found;
    }
    const double ripple_hertz = comb->hertz * bars.value_or(1);
    if (ripple_hertz * stretch.step_seconds > 1 / fewest_samples_a_bar) {
        found.why_not = "the sampling is too slow for the bars: fewer than four samples in each";
        return found;
    }
    found.ripple_seconds = 1 / ripple_hertz;
    // Teeth at multiples of the ripple's only: nothing marks the turn. Weak ones between may be some of more.
    double between = 0;
    for (int h = 1; bars && h < 2 * *bars && h <= static_cast<int>(comb->over_floor.size()); ++h)
        if (h % *bars != 0) between = std::max(between, comb->over_floor[static_cast<std::size_t>(h - 1)]);
    // Of an odd number of bars each passes either brush by itself: twice as many ripples.
    const auto told =
        stretch.bars ? std::optional(*stretch.bars % 2 ? 2 * *stretch.bars : *stretch.bars) : std::nullopt;
    std::optional<int> turn = told;
    if (between > convincing)
        turn = bars;
    else if (!told && lines.front().over_floor < plain_to_see)
        turn = ripples_in_turn(spectrum, ripple_hertz, lowest, stretch.not_these);
    if (!turn) {
        found.why_not = "only one ripple repeats and nothing marks a whole turn: the bars are all alike, the "
                        "noise hides which is not, or the pattern is the turn itself; --bars tells";
        return found;
    }
    found.revolution_seconds = *turn / ripple_hertz;
    found.bars = turn == told ? stretch.bars : turn;
    if (found.bars == turn) found.uneven = uneven_bars(stretch, *found.revolution_seconds, *turn);
    return found;
}

} // namespace lostvolts

#include "solver/waveform/comb.h"

#include <algorithm>
#include <cmath>

#include "solver/waveform/overview.h"

namespace lostvolts {
namespace {

constexpr double stands_out =
    25; // times the noise around: e⁻²⁵ by chance, for each of a hundred thousand lines
constexpr double beside_strongest = 1e-6; // weaker than that may be the window's own side lobes
constexpr std::size_t most_lines = 60;
constexpr int finest = 90;       // highest tooth that one of the strongest lines may be
constexpr double odd_one = 0.02; // chance of a line that is no part of the pattern

/// Noise around each line: the median of its neighbourhood, as a mean of an exponential distribution.
std::vector<double> floors_of(const std::vector<double>& power, std::size_t reach) {
    std::vector<double> floors;
    for (std::size_t from = 0; from < power.size(); from += reach)
        floors.push_back(
            median_of({power.begin() + static_cast<std::ptrdiff_t>(from),
                       power.begin() + static_cast<std::ptrdiff_t>(std::min(power.size(), from + reach))}) /
            std::log(2.0));
    return floors;
}

std::size_t floor_reach(const Spectrum& s) {
    return static_cast<std::size_t>(std::max(64.0, 24 * s.lines_per_width));
}

bool near_any(const std::vector<double>& these, double hertz, const Spectrum& s) {
    const double width = s.lines_per_width * s.hertz_per_line;
    return std::any_of(these.begin(), these.end(),
                       [&](double f) { return std::abs(f - hertz) < std::max(width, 0.01 * f); });
}

struct Candidate {
    double hertz = 0, score = -HUGE_VAL;
};

double score_of(double hertz, const std::vector<SpectrumLine>& lines, double tolerance) {
    const double chance = std::min(1.0, 2 * tolerance / hertz);
    double score = 0;
    for (const SpectrumLine& l : lines) {
        const double tooth = std::round(l.hertz / hertz);
        const bool on = tooth >= 1 && std::abs(l.hertz - tooth * hertz) <= tolerance;
        const double weight = std::clamp(std::log10(l.over_floor) / 4, 0.25, 2.0);
        score += weight * (on ? -std::log(chance) : std::log(odd_one));
    }
    return score;
}

/// Least squares over the lines on teeth, weighted by strength.
double refined(double hertz, const std::vector<SpectrumLine>& lines, double tolerance) {
    for (int round = 0; round < 3; ++round) {
        double top = 0, bottom = 0;
        for (const SpectrumLine& l : lines) {
            const double tooth = std::round(l.hertz / hertz);
            if (tooth < 1 || std::abs(l.hertz - tooth * hertz) > tolerance) continue;
            const double w = std::log10(l.over_floor);
            top += w * tooth * l.hertz;
            bottom += w * tooth * tooth;
        }
        if (bottom > 0) hertz = top / bottom;
    }
    return hertz;
}

} // namespace

std::optional<int> ripples_in_turn(const Spectrum& s, double ripple_hertz, double lowest,
                                   const std::vector<double>& leave_alone) {
    constexpr int most = 60;         // ripples in a turn
    constexpr double one_line = 100; // more over the floor counts no more: leakage, not noise
    constexpr double sure = 20, clear = 5;
    constexpr double not_noise = 4; // times the usual floor: leakage of a trend, which is high near it alone
    constexpr double half_of_them = 1.4; // the middle tooth over its floor; 0.69 under noise
    constexpr double side_lobes = 6;     // widths beside what is strong: the trend and the ripple's own teeth
    const std::size_t reach = floor_reach(s);
    const std::vector<double> floors = floors_of(s.power, reach);
    const double usual = median_of(floors), last = static_cast<double>(s.power.size() - 2);
    double best = 0, next = 0;
    int ripples = 0;
    for (int n = 3; n <= most && ripple_hertz / n >= lowest; ++n) {
        std::vector<double> over;
        std::size_t below = 0; // of them, teeth below the ripple: a bad bar's strongest
        for (int h = 1; h < 2 * n; ++h) {
            const double hertz = ripple_hertz * h / n, place = hertz / s.hertz_per_line;
            const double from_ripple = std::remainder(hertz, ripple_hertz) / s.hertz_per_line; // or from 0
            if (h == n || place >= last || near_any(leave_alone, hertz, s) ||
                std::abs(from_ripple) < side_lobes * s.lines_per_width)
                continue;
            const auto k = static_cast<std::size_t>(std::lround(place));
            if (floors[k / reach] > not_noise * usual) continue;
            below += h < n;
            over.push_back(std::min(one_line, s.power[k] / std::max(1e-300, floors[k / reach])));
        }
        const auto lower = over.begin() + static_cast<std::ptrdiff_t>(below);
        if (static_cast<int>(over.size()) < n || median_of({over.begin(), lower}) < half_of_them) continue;
        // Chernoff's bound of the gamma variable's upper tail, as −log of the chance.
        const auto teeth = static_cast<double>(over.size());
        const double sum = teeth * mean_of(over);
        const double score = sum > teeth ? sum - teeth - teeth * std::log(sum / teeth) : 0;
        if (score > best) {
            next = best;
            best = score;
            ripples = n;
        } else {
            next = std::max(next, score);
        }
    }
    return best > sure && best > next + clear ? std::optional(ripples) : std::nullopt;
}

std::vector<SpectrumLine> find_lines(const Spectrum& s, double lowest,
                                     const std::vector<double>& leave_alone) {
    std::vector<SpectrumLine> lines;
    const std::size_t reach = floor_reach(s);
    const std::vector<double> floors = floors_of(s.power, reach);
    const auto first = static_cast<std::size_t>(lowest / s.hertz_per_line) + 1;
    double strongest = 0;
    for (std::size_t k = first; k < s.power.size(); ++k) strongest = std::max(strongest, s.power[k]);
    for (std::size_t k = std::max<std::size_t>(2, first); k + 2 < s.power.size(); ++k) {
        const double here = s.power[k];
        if (here < beside_strongest * strongest || here <= s.power[k - 1] || here < s.power[k + 1] ||
            here < s.power[k - 2] || here < s.power[k + 2])
            continue;
        const double floor = std::max(floors[k / reach], 1e-9 * strongest);
        if (here < stands_out * floor) continue;
        const double a = std::log(s.power[k - 1] + 1e-300), b = std::log(here),
                     c = std::log(s.power[k + 1] + 1e-300);
        const double shift = std::abs(a - 2 * b + c) > 1e-12 ? 0.5 * (a - c) / (a - 2 * b + c) : 0;
        const double hertz = (static_cast<double>(k) + std::clamp(shift, -0.5, 0.5)) * s.hertz_per_line;
        if (near_any(leave_alone, hertz, s)) continue;
        lines.push_back({hertz, here, here / floor});
    }
    // A strong line's own side lobes are no lines: nothing weaker by 30 dB within three widths of it.
    std::sort(lines.begin(), lines.end(),
              [](const SpectrumLine& x, const SpectrumLine& y) { return x.power > y.power; });
    std::vector<SpectrumLine> kept;
    for (const SpectrumLine& l : lines) {
        const bool shadow = std::any_of(kept.begin(), kept.end(), [&](const SpectrumLine& k) {
            return l.power < 1e-2 * k.power &&
                   std::abs(l.hertz - k.hertz) < 3 * s.lines_per_width * s.hertz_per_line;
        });
        if (!shadow) kept.push_back(l);
        if (kept.size() == most_lines) break;
    }
    return kept;
}

std::optional<Comb> find_comb(const std::vector<SpectrumLine>& lines, const Spectrum& s, double lowest) {
    if (lines.empty()) return std::nullopt;
    const double tolerance = 0.35 * s.lines_per_width * s.hertz_per_line;
    Candidate best;
    for (std::size_t j = 0; j < std::min<std::size_t>(4, lines.size()); ++j)
        for (int m = 1; m <= finest; ++m) {
            double hertz = lines[j].hertz / m;
            if (hertz < lowest) break;
            hertz = refined(hertz, lines, tolerance);
            if (const double score = score_of(hertz, lines, tolerance); score > best.score)
                best = {hertz, score};
        }
    if (best.hertz == 0) return std::nullopt;
    Comb comb;
    comb.hertz = best.hertz;
    double on = 0, all = 0;
    for (const SpectrumLine& l : lines) {
        const double tooth = std::round(l.hertz / comb.hertz);
        all += l.power;
        if (tooth >= 1 && std::abs(l.hertz - tooth * comb.hertz) <= tolerance) on += l.power;
    }
    comb.explained = on / all;
    const double last = static_cast<double>(s.power.size() - 2) * s.hertz_per_line;
    for (int h = 1; h * comb.hertz < last && h <= 4 * finest; ++h) {
        const auto middle = static_cast<std::size_t>(std::lround(h * comb.hertz / s.hertz_per_line));
        const auto around = static_cast<std::size_t>(std::max(1.0, 0.35 * s.lines_per_width));
        double power = 0;
        for (std::size_t k = middle - std::min(middle, around);
             k <= std::min(s.power.size() - 1, middle + around); ++k)
            power = std::max(power, s.power[k]);
        comb.tooth.push_back(power);
        const auto line = std::find_if(lines.begin(), lines.end(), [&](const SpectrumLine& l) {
            return std::abs(l.hertz - h * comb.hertz) <= tolerance;
        });
        comb.over_floor.push_back(line == lines.end() ? 0 : line->over_floor);
    }
    return comb;
}

} // namespace lostvolts

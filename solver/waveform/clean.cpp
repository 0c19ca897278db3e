#include "solver/waveform/clean.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>

#include "solver/waveform/overview.h"

namespace lostvolts {
namespace {

constexpr double tau = 2 * std::numbers::pi;
constexpr double fewest_periods = 1.5;
constexpr double stands_out = 5; // amplitude over its own standard deviation

struct SineFit {
    HumLine line;
    double left = 0; ///< sum of squares left over
};

/// Level and one sine by least squares.
SineFit fit_sine(std::span<const double> x, double first, double step, double hertz) {
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    double square = 0;
    for (std::size_t k = 0; k < x.size(); ++k) {
        const double phase = tau * hertz * (first + step * static_cast<double>(k));
        const Eigen::Vector3d row(1, std::cos(phase), std::sin(phase));
        normal += row * row.transpose();
        right += row * x[k];
        square += x[k] * x[k];
    }
    const Eigen::Vector3d c = normal.ldlt().solve(right);
    return {{hertz, c[1], c[2]}, std::max(0.0, square - c.dot(right))};
}

/// The frequency near `hertz` that leaves least: a third of a resolution step to either side.
SineFit fit_near(std::span<const double> x, double first, double step, double hertz) {
    const double reach = std::min(0.005 * hertz, 0.3 / (step * static_cast<double>(x.size())));
    double low = hertz - reach, high = hertz + reach;
    for (int k = 0; k < 12; ++k) {
        const double a = low + 0.382 * (high - low), b = low + 0.618 * (high - low);
        if (fit_sine(x, first, step, a).left < fit_sine(x, first, step, b).left)
            high = b;
        else
            low = a;
    }
    return fit_sine(x, first, step, 0.5 * (low + high));
}

} // namespace

double HumLine::amplitude() const { return std::hypot(cosine, sine); }
double HumLine::at(double seconds) const {
    const double phase = tau * hertz * seconds;
    return cosine * std::cos(phase) + sine * std::sin(phase);
}

std::vector<HumLine> find_hum(std::span<const double> quiet, double first, double step, double least) {
    std::vector<HumLine> lines;
    const Window w = window_of(quiet, 0, quiet.size(), 4000);
    std::vector<double> x = w.values;
    const double wide = step * static_cast<double>(w.group),
                 begin = first + 0.5 * step * static_cast<double>(w.group - 1);
    const double length = wide * static_cast<double>(x.size());
    if (x.size() < 16) return lines;
    const double middle = mean_of(x);
    for (double& v : x) v -= middle;
    // The stronger of the two mains frequencies, then its double in what is left.
    for (const double base : {50.0, 60.0}) {
        if (length * base < fewest_periods || wide * base > 0.2) continue;
        const SineFit fit = fit_near(x, begin, wide, base);
        const double n = static_cast<double>(x.size());
        const double spread = std::sqrt(fit.left / n * 2 / n);
        if (fit.line.amplitude() > std::max(least, stands_out * spread) &&
            (lines.empty() || fit.line.amplitude() > lines[0].amplitude()))
            lines.assign(1, fit.line);
    }
    if (lines.empty()) return lines;
    for (std::size_t k = 0; k < x.size(); ++k) x[k] -= lines[0].at(begin + wide * static_cast<double>(k));
    const double twice = 2 * lines[0].hertz;
    if (wide * twice < 0.2) {
        const SineFit fit = fit_sine(x, begin, wide, twice);
        const double n = static_cast<double>(x.size());
        if (fit.line.amplitude() > std::max(least, stands_out * std::sqrt(fit.left / n * 2 / n)))
            lines.push_back(fit.line);
    }
    return lines;
}

std::optional<Rail> find_rail(std::span<const double> x, bool top, double extreme, double range) {
    // Runs of exactly the extreme value, and how often its next neighbours occur.
    std::size_t run = 0, at_rail = 0, near = 0;
    Rail rail{extreme, 0, 0};
    bool any = false;
    double next = 0; // distance of the nearest other value
    for (std::size_t k = 0; k < x.size(); ++k) {
        const double below = top ? extreme - x[k] : x[k] - extreme;
        if (below == 0) {
            if (!any) rail.first = k;
            any = true;
            ++at_rail;
            rail.longest = std::max(rail.longest, ++run);
        } else {
            run = 0;
            if (next == 0 || below < next) next = below;
        }
    }
    if (rail.longest < 4 || next == 0) return std::nullopt;
    const double zone = std::max(2.5 * next, 0.01 * range);
    for (const double v : x) {
        const double below = top ? extreme - v : v - extreme;
        near += below > 0 && below <= zone;
    }
    // A smooth top of a parabola spends 1/√z of its time in the uppermost of z equal slices.
    const double slices = std::max(1.0, zone / std::max(next, 1e-300));
    const double expected = slices < 50 ? 1 / (std::sqrt(slices) - 1 + 1e-9) : 0.2;
    if (static_cast<double>(at_rail) <
        3 * std::max(0.3, expected) * static_cast<double>(std::max<std::size_t>(1, near)))
        return std::nullopt;
    return rail;
}

} // namespace lostvolts

#include "solver/locate/scale.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace lostvolts {
namespace {

constexpr double costs_nothing = 0.03; // of the information: not worth an outcome of its own

constexpr double nothing = 1e-6; // of probability

double x_log_x(double x) { return x > nothing ? x * std::log(x) : 0; }

/// Σ p·ln p over the classes of one band, less that of their sum: what joining loses is a difference of
/// these.
double sharpness(std::span<const double> band) {
    double all = 0, sum = 0;
    for (const double p : band) all += p, sum += x_log_x(p);
    return sum - x_log_x(all);
}

} // namespace

Scale scale_of(std::span<const double> value, std::span<const double> sigma) {
    std::vector<std::pair<double, double>> places; // value, sigma
    for (std::size_t m = 0; m < value.size(); ++m)
        if (std::isfinite(sigma[m])) places.emplace_back(value[m], sigma[m]);
    std::sort(places.begin(), places.end());
    Scale scale;
    for (double far = 1.5; !places.empty(); far *= 1.5) {
        scale.cuts.clear();
        double last = places.front().first;
        for (std::size_t k = 0; k + 1 < places.size() && scale.cuts.size() < most_stretches; ++k) {
            const auto& [a, blur_a] = places[k];
            const auto& [b, blur_b] = places[k + 1];
            // Between the two, nearer to the sharper one.
            const double cut = a + (b - a) * blur_a / (blur_a + blur_b);
            if (b - last < far * std::min(blur_a, blur_b)) continue;
            scale.cuts.push_back(cut);
            last = b;
        }
        if (scale.cuts.size() < most_stretches) break;
    }
    scale.numbers = scale.cuts.size() + 1;
    const std::size_t stretches = scale.stretches();
    scale.share.resize(value.size() * stretches);
    for (std::size_t m = 0; m < value.size(); ++m) {
        double below = 0;
        for (std::size_t k = 0; k < stretches; ++k) {
            const double up_to =
                k + 1 == stretches ? 1
                : std::isfinite(sigma[m])
                    ? 0.5 * std::erfc((value[m] - scale.cuts[k]) / (sigma[m] * std::numbers::sqrt2))
                    : static_cast<double>(k + 1) / static_cast<double>(stretches);
            scale.share[m * stretches + k] = up_to - below;
            below = up_to;
        }
    }
    return scale;
}

Scale scale_of(std::span<const double> value, std::span<const double> sigma, std::span<const Chances> says) {
    // A machine without a word whose number may be anything: it can't be said what it would show.
    const auto unsaid = [&](std::size_t m) { return chance_of_number(says[m]) == 1 && std::isinf(sigma[m]); };
    std::size_t words = 0;
    bool numbers = false;
    for (std::size_t m = 0; m < says.size(); ++m) {
        for (std::size_t k = words; k < most_words; ++k)
            if (says[m][k] > 0) words = k + 1;
        numbers = numbers || (!unsaid(m) && chance_of_number(says[m]) > 0);
    }
    if (words == 0) return scale_of(value, sigma);
    Scale of_numbers;
    of_numbers.numbers = 0;
    if (numbers) of_numbers = scale_of(value, sigma);
    Scale scale = of_numbers;
    scale.words = words;
    scale.share.clear();
    const std::size_t stretches = scale.stretches();
    for (std::size_t m = 0; m < says.size(); ++m) {
        if (unsaid(m)) {
            scale.share.insert(scale.share.end(), stretches, 1 / static_cast<double>(stretches));
            continue;
        }
        const double left = chance_of_number(says[m]);
        for (std::size_t k = 0; k < of_numbers.numbers; ++k)
            scale.share.push_back(left * of_numbers.share[m * of_numbers.numbers + k]);
        for (std::size_t k = 0; k < words; ++k) scale.share.push_back(says[m][k]);
    }
    return scale;
}

std::vector<Band> bands_of(std::span<const double> table, std::size_t classes, std::size_t most,
                           std::size_t first_word) {
    const std::size_t stretches = table.size() / classes;
    std::vector<Band> bands;
    std::vector<std::vector<double>> columns;
    for (std::size_t k = 0; k < stretches; ++k) {
        std::vector<double> column(classes);
        for (std::size_t c = 0; c < classes; ++c) column[c] = table[c * stretches + k];
        bands.push_back({k, k + 1});
        columns.push_back(std::move(column));
    }
    std::vector<double> row(classes, 0.0);
    for (const auto& column : columns)
        for (std::size_t c = 0; c < classes; ++c) row[c] += column[c];
    double all = -sharpness(row);
    for (const auto& column : columns) all += sharpness(column);
    std::vector<double> joined(classes);
    while (bands.size() > 1) {
        std::size_t cheapest = 0;
        double least = 1e300;
        for (std::size_t k = 0; k + 1 < bands.size(); ++k) {
            if (first_word > 0 && bands[k].last == first_word) continue;
            for (std::size_t c = 0; c < classes; ++c) joined[c] = columns[k][c] + columns[k + 1][c];
            const double loss = sharpness(columns[k]) + sharpness(columns[k + 1]) - sharpness(joined);
            if (loss < least) least = loss, cheapest = k;
        }
        if (least == 1e300 || (bands.size() <= most && least > costs_nothing * all)) break;
        bands[cheapest].last = bands[cheapest + 1].last;
        for (std::size_t c = 0; c < classes; ++c) columns[cheapest][c] += columns[cheapest + 1][c];
        bands.erase(bands.begin() + static_cast<std::ptrdiff_t>(cheapest) + 1);
        columns.erase(columns.begin() + static_cast<std::ptrdiff_t>(cheapest) + 1);
    }
    return bands;
}

double entropy_left(std::span<const double> table, std::size_t classes) {
    const std::size_t stretches = table.size() / classes;
    std::array<double, most_stretches + 1 + most_words> column{};
    double total = 0, nats = 0;
    for (std::size_t c = 0; c < classes; ++c)
        for (std::size_t k = 0; k < stretches; ++k) {
            const double p = table[c * stretches + k];
            column[k] += p;
            nats -= x_log_x(p);
        }
    for (std::size_t k = 0; k < stretches; ++k) total += column[k], nats += x_log_x(column[k]);
    return total > 0 ? std::max(nats / total, 0.0) / std::numbers::ln2 : 0;
}

} // namespace lostvolts

#include "solver/waveform/overview.h"

#include <algorithm>
#include <cmath>

namespace lostvolts {

Overview overview_of(std::span<const double> x, std::size_t block) {
    Overview o;
    o.block = std::max<std::size_t>(1, block);
    if (x.empty()) return o;
    o.mean.reserve(x.size() / o.block);
    // Eight running values each, so that the processor may go on with the next before the last is done.
    double least[8], most[8];
    std::fill_n(least, 8, x[0]);
    std::fill_n(most, 8, x[0]);
    for (std::size_t from = 0; from + o.block <= x.size(); from += o.block) {
        double sum[8] = {};
        std::size_t k = from;
        const std::size_t end = from + o.block;
        for (; k + 8 <= end; k += 8)
            for (std::size_t j = 0; j < 8; ++j) {
                const double v = x[k + j];
                sum[j] += v;
                least[j] = v < least[j] ? v : least[j];
                most[j] = v > most[j] ? v : most[j];
            }
        for (; k < end; ++k) {
            sum[0] += x[k];
            least[0] = std::min(least[0], x[k]);
            most[0] = std::max(most[0], x[k]);
        }
        for (std::size_t j = 1; j < 8; ++j) sum[0] += sum[j];
        o.mean.push_back(sum[0] / static_cast<double>(o.block));
    }
    o.least = *std::min_element(least, least + 8);
    o.most = *std::max_element(most, most + 8);
    return o;
}

Window window_of(std::span<const double> x, std::size_t first, std::size_t last, std::size_t most) {
    last = std::min(last, x.size());
    first = std::min(first, last);
    Window w;
    w.first = first;
    w.group = std::max<std::size_t>(1, (last - first + most - 1) / std::max<std::size_t>(1, most));
    w.values.reserve((last - first) / w.group);
    for (std::size_t k = first; k + w.group <= last; k += w.group) {
        double sum[4] = {}; // for the same reason as above
        std::size_t j = 0;
        for (; j + 4 <= w.group; j += 4)
            for (std::size_t q = 0; q < 4; ++q) sum[q] += x[k + j + q];
        for (; j < w.group; ++j) sum[0] += x[k + j];
        w.values.push_back((sum[0] + sum[1] + sum[2] + sum[3]) / static_cast<double>(w.group));
    }
    return w;
}

double mean_of(std::span<const double> v) {
    double sum = 0;
    for (const double x : v) sum += x;
    return v.empty() ? 0 : sum / static_cast<double>(v.size());
}

double median_of(std::vector<double> v) {
    if (v.empty()) return 0;
    const auto middle = v.begin() + static_cast<std::ptrdiff_t>(v.size() / 2);
    std::nth_element(v.begin(), middle, v.end());
    return *middle;
}

double middle_of_means(std::span<const double> v) {
    constexpr std::size_t pieces = 15;
    if (v.size() < 8 * pieces) return mean_of(v);
    std::vector<double> means;
    for (std::size_t k = 0; k < pieces; ++k)
        means.push_back(mean_of(v.subspan(k * v.size() / pieces, v.size() / pieces)));
    // Where nothing disturbs, the mean of all is the better one.
    const double middle = median_of(means), all = mean_of(v);
    std::vector<double> away;
    away.reserve(means.size());
    for (const double m : means) away.push_back(std::abs(m - middle));
    return std::abs(all - middle) <
                   2 * median_of(away) / 0.6745 / std::sqrt(static_cast<double>(pieces)) * 1.5
               ? all
               : middle;
}

double noise_of(std::span<const double> v) {
    // Of second differences, whose variance is six times that of one value; their median size is 0.6745
    // sigma.
    std::vector<double> d;
    const std::size_t stride = std::max<std::size_t>(1, v.size() / 20000);
    for (std::size_t k = 1; k + 1 < v.size(); k += stride)
        d.push_back(std::abs(v[k - 1] - 2 * v[k] + v[k + 1]));
    return median_of(std::move(d)) / 0.6745 / std::sqrt(6.0);
}

} // namespace lostvolts

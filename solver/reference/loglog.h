// Interpolation of a published curve between its rows, straight in log–log.
#pragma once

#include <algorithm>
#include <cmath>
#include <span>

namespace lostvolts {

/// y at `x` through rows sorted by x; outside them by the slope of the end pair. X and Y name a row's
/// members.
template <class Row> double log_log(std::span<const Row> rows, double Row::*X, double Row::*Y, double x) {
    const auto above = std::ranges::lower_bound(rows, x, {}, X);
    const auto last = static_cast<std::ptrdiff_t>(rows.size()) - 1;
    const auto i = static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(above - rows.begin(), 1, last));
    const Row &a = rows[i - 1], &b = rows[i];
    if (x == a.*X) return a.*Y;
    if (x == b.*X) return b.*Y;
    const double share = std::log(x / (a.*X)) / std::log((b.*X) / (a.*X));
    return (a.*Y) * std::pow((b.*Y) / (a.*Y), share);
}

} // namespace lostvolts

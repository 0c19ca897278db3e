// A channel seen from afar: means and extremes of equal blocks, so that what follows never goes through ten
// million samples again; and windows of it, averaged down to a bounded number of samples.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace lostvolts {

struct Overview {
    std::size_t block = 1; ///< samples in each, the last one may be shorter and is left out
    std::vector<double> mean;
    double least = 0, most = 0; ///< of all samples
};
Overview overview_of(std::span<const double> samples, std::size_t block);

/// Samples [first, last) averaged in groups of equal size so that at most `most` remain.
struct Window {
    std::size_t first = 0; ///< sample of the capture where it begins
    std::size_t group = 1; ///< samples averaged into one
    std::vector<double> values;

    /// Where value k lies, in samples of the capture.
    double place(std::size_t k) const {
        return static_cast<double>(first) + static_cast<double>(group) * static_cast<double>(k) +
               0.5 * static_cast<double>(group - 1);
    }
};
Window window_of(std::span<const double> samples, std::size_t first, std::size_t last, std::size_t most);

double mean_of(std::span<const double> values);
double median_of(std::vector<double> values);
/// Middle of the means of fifteen pieces: a disturbance in a few of them does no harm, and a lopsided ripple
/// none.
double middle_of_means(std::span<const double> values);
/// Standard deviation of one value from differences of neighbours: slow changes don't count. Robust.
double noise_of(std::span<const double> values);

} // namespace lostvolts

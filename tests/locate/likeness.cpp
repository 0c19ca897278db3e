#include "tests/locate/likeness.h"

#include <cmath>
#include <functional>
#include <stdexcept>
#include <vector>

#include <Eigen/Cholesky>
#include <gsl/gsl_cdf.h>

#include "solver/locate/weighing.h"

namespace lostvolts::testing {
namespace {

constexpr int walked = 25;            // sizes, evenly over the range
constexpr double close_enough = 1e-4; // of the range
constexpr double impossible = 1e300;

double chi_square_of(Weighing& w, const std::vector<Fault>& faults) {
    const auto predicted = predict_readings(w, faults);
    if (!predicted) return impossible;
    Eigen::MatrixXd c = predicted->tolerance;
    c.diagonal() += w.measured.variance;
    const Eigen::VectorXd off = w.measured.value - predicted->mean;
    return off.dot(c.llt().solve(off));
}

/// The least between two places, one hollow between them: golden section.
double least_between(double low, double high, const std::function<double(double)>& height) {
    const double golden = (std::sqrt(5.0) - 1) / 2;
    double a = high - golden * (high - low), b = low + golden * (high - low);
    double at_a = height(a), at_b = height(b);
    while (high - low > close_enough) {
        if (at_a < at_b) {
            high = b, b = a, at_b = at_a;
            at_a = height(a = high - golden * (high - low));
        } else {
            low = a, a = b, at_a = at_b;
            at_b = height(b = low + golden * (high - low));
        }
    }
    return at_a < at_b ? a : b;
}

} // namespace

Likeness closest_modelled(const Readings& job) {
    const Network network = analyse(std::make_shared<const Circuit>(job.circuit));
    auto prepared = prepare(network, job);
    if (!prepared) throw std::logic_error(describe(prepared.problems().front()));
    Weighing& w = *prepared;
    Likeness best;
    best.chi_square = chi_square_of(w, {});
    for (const Hypothesis& h : single_faults(network, w.typical_amps, w.typical_volts)) {
        if (h.faults.empty()) continue;
        const FaultRange& range = h.faults.front();
        const auto height = [&](double place) {
            return chi_square_of(w, {{range.part, range.kind, range.size_at(place)}});
        };
        const auto note = [&](double place) {
            const double chi_square = height(place);
            if (chi_square < best.chi_square)
                best = {range.part, range.kind, range.size_at(place), chi_square, 1};
        };
        if (!range.sized()) {
            note(0);
            continue;
        }
        std::vector<double> heights;
        for (int k = 0; k < walked; ++k) heights.push_back(height(static_cast<double>(k) / (walked - 1)));
        for (std::size_t k = 0; k < heights.size(); ++k) {
            const std::size_t before = k > 0 ? k - 1 : 0, after = std::min(k + 1, heights.size() - 1);
            if (heights[k] > heights[before] || heights[k] > heights[after] || heights[k] == impossible)
                continue;
            const auto place = [](std::size_t i) { return static_cast<double>(i) / (walked - 1); };
            note(least_between(place(before), place(after), height));
        }
    }
    best.chance = gsl_cdf_chisq_Q(best.chi_square, static_cast<double>(w.measured.value.size()));
    return best;
}

} // namespace lostvolts::testing

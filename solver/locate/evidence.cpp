#include "solver/locate/evidence.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace lostvolts {
namespace {

constexpr int first_sizes = 9;
constexpr std::size_t most_sizes = 64;
constexpr double reach = 14; // in ln: what lies further below the leader is a millionth of it
constexpr double flat = 0.3; // an interval whose ln p varies less is fine as it is
constexpr int finer = 8;     // chord points per interval when integrating
constexpr double impossible = -1e300;

Tried try_one(Weighing& w, const Hypothesis& h, double place) {
    Tried t;
    t.place = place;
    if (auto predicted = predict_readings(w, faults_at(h, place))) {
        t.predicted = std::move(*predicted);
        t.log_likelihood = log_likelihood(w.measured, t.predicted);
    } else {
        t.log_likelihood = impossible;
    }
    return t;
}

bool possible(const Tried& t) { return t.log_likelihood > impossible; }

Predicted chord(const Tried& a, const Tried& b, double t) {
    return {(1 - t) * a.predicted.mean + t * b.predicted.mean,
            (1 - t) * a.predicted.tolerance + t * b.predicted.tolerance};
}

/// Bend of the predicted means through three neighbours: half their second divided difference.
Eigen::VectorXd bend(const Tried& a, const Tried& b, const Tried& c) {
    const Eigen::VectorXd left = (b.predicted.mean - a.predicted.mean) / (b.place - a.place);
    const Eigen::VectorXd right = (c.predicted.mean - b.predicted.mean) / (c.place - b.place);
    return ((right - left) / (c.place - a.place)).cwiseAbs();
}

/// The most that interval k can reach: ln p along its chord, the meters' variance widened by how far the true
/// curve can lie from it (without the widening's own penalty). `at` gets where, 0 … 1.
double hope(const Measured& measured, const std::vector<Tried>& tried, std::size_t k, double& at,
            double& least) {
    const Tried &a = tried[k], &b = tried[k + 1];
    Eigen::VectorXd bent = Eigen::VectorXd::Zero(measured.value.size());
    if (k > 0 && possible(tried[k - 1])) bent = bent.cwiseMax(bend(tried[k - 1], a, b));
    if (k + 2 < tried.size() && possible(tried[k + 2])) bent = bent.cwiseMax(bend(a, b, tried[k + 2]));
    const double width = b.place - a.place;
    const Eigen::VectorXd off = bent * (width * width / 4); // twice the chord error of a parabola
    Measured wide = measured;
    wide.variance += off.cwiseAbs2();
    const double allowance = 0.5 * (wide.variance.array() / measured.variance.array()).log().sum();
    double most = std::max(a.log_likelihood, b.log_likelihood);
    least = std::min(a.log_likelihood, b.log_likelihood);
    at = 0.5;
    for (const double t : {0.25, 0.5, 0.75}) {
        const double here = log_likelihood(wide, chord(a, b, t)) + allowance;
        least = std::min(least, here);
        if (here > most) most = here, at = t;
    }
    return most;
}

/// ln p at `finer` chord points of each interval, with the trapezoid's weights: the posterior over place,
/// unnormalised.
struct Fine {
    std::vector<double> place, log_p, weight;
};

Fine fine_posterior(const Measured& measured, const Evidence& e) {
    Fine f;
    for (std::size_t k = 0; k + 1 < e.tried.size(); ++k) {
        const Tried &a = e.tried[k], &b = e.tried[k + 1];
        if (!possible(a) || !possible(b)) continue;
        const double step = (b.place - a.place) / finer;
        for (int i = 0; i <= finer; ++i) {
            const double t = static_cast<double>(i) / finer;
            f.place.push_back(a.place + t * (b.place - a.place));
            f.log_p.push_back(i == 0       ? a.log_likelihood
                              : i == finer ? b.log_likelihood
                                           : log_likelihood(measured, chord(a, b, t)));
            f.weight.push_back(i == 0 || i == finer ? step / 2 : step);
        }
    }
    return f;
}

double log_integral(const Fine& f) {
    if (f.place.empty()) return impossible;
    const double most = *std::max_element(f.log_p.begin(), f.log_p.end());
    double sum = 0;
    for (std::size_t i = 0; i < f.place.size(); ++i) sum += f.weight[i] * std::exp(f.log_p[i] - most);
    return most + std::log(sum);
}

double quantile(const Fine& f, double share) {
    if (f.place.empty()) return 0.5;
    const double total = log_integral(f);
    double sum = 0;
    for (std::size_t i = 0; i < f.place.size(); ++i) {
        const double part = f.weight[i] * std::exp(f.log_p[i] - total);
        if (sum + part >= share) {
            const double before = i > 0 ? f.place[i - 1] : f.place[i];
            return before + (f.place[i] - before) * (part > 0 ? (share - sum) / part : 0.5);
        }
        sum += part;
    }
    return f.place.back();
}

} // namespace

std::vector<Fault> faults_at(const Hypothesis& hypothesis, double place) {
    std::vector<Fault> faults;
    for (const FaultRange& r : hypothesis.faults) faults.push_back({r.part, r.kind, r.size_at(place)});
    return faults;
}

Evidence try_sizes(Weighing& w, const Hypothesis& hypothesis) {
    Evidence e;
    e.hypothesis = hypothesis;
    const bool sized = !hypothesis.faults.empty() && hypothesis.faults.front().sized();
    const int sizes = sized ? first_sizes : 1;
    for (int k = 0; k < sizes; ++k)
        e.tried.push_back(try_one(w, hypothesis, sized ? static_cast<double>(k) / (sizes - 1) : 0.0));
    e.log_evidence = e.tried.front().log_likelihood;
    return e;
}

void refine(Weighing& w, Evidence& e, double leader) {
    if (e.tried.size() < 2) return;
    const double wanted = leader - e.hypothesis.log_prior - reach;
    for (std::size_t k = 0; k + 1 < e.tried.size() && e.tried.size() < most_sizes;) {
        const Tried &a = e.tried[k], &b = e.tried[k + 1];
        double at = 0.5, least = 0;
        const bool narrow = b.place - a.place < 1e-5;
        if (!possible(a) || !possible(b)) {
            // One end has no working point: find the border to a thousandth of the range.
            if (possible(a) == possible(b) || b.place - a.place < 1e-3) {
                ++k;
                continue;
            }
        } else if (const double most = hope(w.measured, e.tried, k, at, least);
                   narrow || most < wanted || most - least < flat) {
            ++k;
            continue;
        }
        const double place = a.place + at * (b.place - a.place);
        e.tried.insert(e.tried.begin() + static_cast<std::ptrdiff_t>(k) + 1, try_one(w, e.hypothesis, place));
        if (k > 0) --k; // its left neighbour's bend is better known now
    }
    const Fine fine = fine_posterior(w.measured, e);
    e.log_evidence = log_integral(fine);
    const FaultRange& range = e.hypothesis.faults.front();
    e.low = range.size_at(quantile(fine, 0.05));
    e.middle = range.size_at(quantile(fine, 0.50));
    e.high = range.size_at(quantile(fine, 0.95));
    const auto best = std::max_element(e.tried.begin(), e.tried.end(), [](const Tried& a, const Tried& b) {
        return a.log_likelihood < b.log_likelihood;
    });
    e.best_place = best->place;
    e.best = range.size_at(best->place);
}

double place_at(const Measured& measured, const Evidence& evidence, double share) {
    return evidence.tried.size() < 2 ? 0.0 : quantile(fine_posterior(measured, evidence), share);
}

} // namespace lostvolts

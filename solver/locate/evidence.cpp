#include "solver/locate/evidence.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>

#include <Eigen/Cholesky>

#include "solver/locate/inverse.h"

namespace lostvolts {
namespace {

constexpr std::size_t most_sizes = 64;
constexpr double reach = 14;               // in ln: what lies further below the leader is a millionth of it
constexpr double beyond_reach = 2 * reach; // where the walk's own bounds can't bring it within reach either
constexpr double negligible = 2e-3;        // share of a hypothesis' evidence not worth a solve
constexpr double narrowest = 1e-5;
constexpr double certain = 0.1; // in ln: a chord whose bend matters less is fine as it is
constexpr int finest = 12;      // chord points per interval when integrating, at the most
constexpr double impossible = -1e300;

Tried predict_one(Weighing& w, const Hypothesis& h, double place, bool roughly = false) {
    Tried t;
    t.place = place;
    t.log_likelihood = impossible;
    const std::vector<Fault> faults = faults_at(h, place);
    if (auto predicted = roughly ? bound_readings(w, faults) : predict_readings(w, faults)) {
        t.predicted = std::move(*predicted);
        t.log_likelihood = most_likely(w.measured, t.predicted);
    }
    return t;
}

Tried try_one(Weighing& w, const Hypothesis& h, double place) {
    Tried t = predict_one(w, h, place);
    if (t.log_likelihood > impossible) t.log_likelihood = log_likelihood(w.measured, t.predicted);
    return t;
}

/// With its tolerances, where they were but bounds.
void sharpen(Weighing& w, const Hypothesis& h, Tried& t) {
    if (t.predicted.rough) t = try_one(w, h, t.place);
}

bool possible(const Tried& t) { return t.log_likelihood > impossible; }

Predicted chord(const Tried& a, const Tried& b, double t) {
    const Predicted &p = a.predicted, &q = b.predicted;
    return {(1 - t) * p.mean + t * q.mean, (1 - t) * p.tolerance + t * q.tolerance,
            (1 - t) * p.told + t * q.told, (1 - t) * p.told_variance + t * q.told_variance,
            p.rough || q.rough};
}

/// All that is predicted: of the readings that are numbers, then what stands behind the words.
Eigen::VectorXd all_of(const Predicted& p) {
    Eigen::VectorXd all(p.mean.size() + p.told.size());
    all << p.mean, p.told;
    return all;
}

/// Of a large circuit: what is shown is its own, and the tolerances lie on the chord between two sizes that
/// have theirs.
Tried try_between(Weighing& w, const Hypothesis& h, const Tried& a, const Tried& b, double place) {
    if (a.predicted.rough || b.predicted.rough) return try_one(w, h, place);
    auto shown = bound_readings(w, faults_at(h, place));
    if (!shown || !possible(a) || !possible(b)) return try_one(w, h, place);
    Tried t;
    t.place = place;
    t.predicted = chord(a, b, (place - a.place) / (b.place - a.place));
    t.predicted.mean = shown->mean;
    t.predicted.told = shown->told;
    t.log_likelihood = log_likelihood(w.measured, t.predicted);
    return t;
}

/// Bend of what is predicted through three neighbours: half its second divided difference.
Eigen::VectorXd bend(const Tried& a, const Tried& b, const Tried& c) {
    const Eigen::VectorXd at_a = all_of(a.predicted), at_b = all_of(b.predicted), at_c = all_of(c.predicted);
    const Eigen::VectorXd left = (at_b - at_a) / (b.place - a.place);
    const Eigen::VectorXd right = (at_c - at_b) / (c.place - b.place);
    return ((right - left) / (c.place - a.place)).cwiseAbs();
}

/// What is known of the stretch between two neighbouring sizes.
struct Interval {
    double width = 0;
    double settled = 0; // ln p that it reaches along the chord
    double most = 0;    // ln p that it can reach, the bend allowed for
    double at = 0.5;    // where, as a share of its width
    bool open = false;  // worth halving: the chord is not good enough
};

/// No likelihood under at most two blunders lies above this, and it costs no inverse: y'·C⁻¹·y is at least
/// y_i²/C_ii for any one i, so the third largest of those stays; and |C| is at least that of the meters'
/// variances alone.
double ceiling(const Measured& measured, const Predicted& predicted) {
    Eigen::VectorXd variance = measured.variance + predicted.tolerance.diagonal();
    if (measured.zero.size() > 0) variance += measured.zero.cwiseAbs2();
    const Eigen::ArrayXd square = (measured.value - predicted.mean).array().square() / variance.array();
    std::array<double, 3> largest{};
    for (const double s : square)
        if (s > largest[2]) {
            largest[2] = s;
            std::sort(largest.begin(), largest.end(), std::greater<>());
        }
    const auto n = static_cast<double>(measured.variance.size());
    return -0.5 * (n * std::log(2 * std::numbers::pi) + log_product(measured.variance) + largest[2]);
}

/// The most: ln p along the chord, the meters' variance widened by how far the true curve can lie from it
/// (without the widening's own penalty).
Interval look_at(Weighing& w, const Hypothesis& h, std::vector<Tried>& tried, std::size_t k, double wanted) {
    const Measured& measured = w.measured;
    Tried &a = tried[k], &b = tried[k + 1];
    Interval i;
    i.width = b.place - a.place;
    i.settled = i.most = std::max(a.log_likelihood, b.log_likelihood);
    if (!possible(a) || !possible(b)) { // the border of the working points, to a thousandth of the range
        i.open = possible(a) != possible(b) && i.width > 1e-3;
        return i;
    }
    Eigen::VectorXd bent = Eigen::VectorXd::Zero(a.predicted.mean.size() + a.predicted.told.size());
    if (k > 0 && possible(tried[k - 1])) bent = bent.cwiseMax(bend(tried[k - 1], a, b));
    if (k + 2 < tried.size() && possible(tried[k + 2])) bent = bent.cwiseMax(bend(a, b, tried[k + 2]));
    const Eigen::VectorXd off =
        bent * (i.width * i.width / 4); // the chord error of a parabola, at its middle
    Measured wide = measured;
    wide.variance += off.head(measured.value.size()).cwiseAbs2();
    const Eigen::VectorXd told_wide = off.tail(a.predicted.told.size()).cwiseAbs2();
    const double allowance = 0.5 * (wide.variance.array() / measured.variance.array()).log().sum();
    double doubt = 0; // how much the bend matters
    for (const double t : {0.25, 0.5, 0.75}) {
        Predicted here = chord(a, b, t);
        if (ceiling(wide, here) < wanted) continue;
        if (here.rough) {
            sharpen(w, h, a), sharpen(w, h, b);
            if (!possible(a) || !possible(b)) return i;
            i.settled = std::max({i.settled, a.log_likelihood, b.log_likelihood});
            here = chord(a, b, t);
        }
        const double plain = log_likelihood(measured, here);
        here.told_variance += told_wide;
        const double hoped = log_likelihood(wide, here) + allowance;
        doubt = std::max(doubt, std::abs(hoped - plain));
        i.settled = std::max(i.settled, plain);
        if (hoped > i.most) i.most = hoped, i.at = t;
    }
    i.open = i.width > narrowest && doubt > certain;
    return i;
}

/// How many chord points an interval deserves: four per standard deviation that the prediction moves along
/// it.
int points_along(const Measured& measured, const Tried& a, const Tried& b) {
    if (!measured.told.empty()) return finest; // a word may turn anywhere
    Eigen::MatrixXd c = 0.5 * (a.predicted.tolerance + b.predicted.tolerance);
    c.diagonal() += measured.variance;
    const Eigen::VectorXd moved = b.predicted.mean - a.predicted.mean;
    const double deviations = std::sqrt(moved.dot(c.llt().solve(moved)));
    return static_cast<int>(std::clamp(std::ceil(4 * deviations), 2.0, double(finest)));
}

/// ln p by place: at chord points of each interval that matters and at the ends of all others.
std::vector<std::pair<double, double>> fine_curve(const Measured& measured, const std::vector<Tried>& tried) {
    double best = impossible;
    for (const Tried& t : tried) best = std::max(best, t.log_likelihood);
    std::vector<std::pair<double, double>> curve;
    for (std::size_t k = 0; k < tried.size(); ++k) {
        const Tried& a = tried[k];
        curve.emplace_back(a.place, a.log_likelihood);
        if (k + 1 == tried.size() || !possible(a) || !possible(tried[k + 1])) continue;
        const Tried& b = tried[k + 1];
        if (a.predicted.rough || b.predicted.rough) continue; // nothing there is within reach of the leader
        if (std::max(a.log_likelihood, b.log_likelihood) < best - reach) continue;
        const int finer = points_along(measured, a, b);
        for (int i = 1; i < finer; ++i) {
            const double t = static_cast<double>(i) / finer;
            const Predicted here = chord(a, b, t);
            double log_p = ceiling(measured, here);
            if (log_p > best - reach) log_p = log_likelihood(measured, here);
            curve.emplace_back(a.place + t * (b.place - a.place), log_p);
        }
    }
    return curve;
}

/// ln p by place, at the sizes tried alone.
std::vector<std::pair<double, double>> coarse_curve(const std::vector<Tried>& tried) {
    std::vector<std::pair<double, double>> curve;
    curve.reserve(tried.size());
    for (const Tried& t : tried) curve.emplace_back(t.place, t.log_likelihood);
    return curve;
}

/// Integrates by the trapezoid rule: the evidence, and the posterior over the size.
void integrate(const std::vector<std::pair<double, double>>& curve, Evidence& e) {
    double most = impossible;
    for (const auto& [place, log_p] : curve) most = std::max(most, log_p);
    e.posterior.clear();
    e.log_evidence = impossible;
    if (most == impossible) return;
    for (const auto& [place, log_p] : curve) {
        SizePoint point{place, std::exp(log_p - most), 0};
        if (!e.posterior.empty()) {
            const SizePoint& last = e.posterior.back();
            point.before = last.before + 0.5 * (last.density + point.density) * (point.place - last.place);
        }
        e.posterior.push_back(point);
    }
    const double total = e.posterior.back().before;
    e.log_evidence = most + std::log(total);
    for (SizePoint& point : e.posterior) point.density /= total, point.before /= total;
}

/// One more solve at the likeliest size, so that what is reported of it is the circuit's own.
bool try_best(Weighing& w, Evidence& e) {
    if (e.posterior.empty()) return false;
    const auto mode =
        std::max_element(e.posterior.begin(), e.posterior.end(),
                         [](const SizePoint& a, const SizePoint& b) { return a.density < b.density; });
    const auto at = std::lower_bound(e.tried.begin(), e.tried.end(), mode->place,
                                     [](const Tried& t, double place) { return t.place < place; });
    if (at != e.tried.end() && at->place == mode->place) return false;
    e.tried.insert(at, try_one(w, e.hypothesis, mode->place));
    return true;
}

} // namespace

std::vector<Fault> faults_at(const Hypothesis& hypothesis, double place, double beside) {
    std::vector<Fault> faults;
    for (const FaultRange& r : hypothesis.faults)
        faults.push_back({r.part, r.kind, r.size_at(faults.empty() ? place : beside)});
    return faults;
}

std::vector<Fault> faults_at(const Hypothesis& hypothesis, const Tried& tried) {
    return faults_at(hypothesis, tried.place, tried.beside);
}

std::vector<Fault> faults_at(const Evidence& e, double share) {
    const double place = place_at(e, share);
    const auto at = std::find_if(e.posterior.begin(), e.posterior.end(),
                                 [&](const SizePoint& point) { return point.place >= place; });
    return faults_at(e.hypothesis, place, at == e.posterior.end() ? 0.5 : at->beside);
}

double most_likely(const Measured& measured, const Predicted& predicted) {
    return ceiling(measured, predicted);
}

Evidence predict_sizes(Weighing& w, const Hypothesis& hypothesis, bool roughly) {
    Evidence e;
    e.hypothesis = hypothesis;
    const bool sized = !hypothesis.faults.empty() && hypothesis.faults.front().sized();
    const int sizes = sized ? first_sizes : 1;
    for (int k = 0; k < sizes; ++k)
        e.tried.push_back(
            predict_one(w, hypothesis, sized ? static_cast<double>(k) / (sizes - 1) : 0.0, roughly));
    e.sizes.resize(hypothesis.faults.size());
    e.log_evidence = e.tried.front().log_likelihood;
    return e;
}

Evidence weigh_sizes(Weighing& w, const Hypothesis& hypothesis, double leader) {
    std::vector<Evidence> one(1);
    Evidence& e = one.front();
    e.hypothesis = hypothesis;
    e.sizes.resize(hypothesis.faults.size());
    const bool sized = hypothesis.faults.front().sized();
    for (int k = 0; k < (sized ? first_sizes : 1); k += 2)
        e.tried.push_back(predict_one(w, hypothesis, static_cast<double>(k) / (first_sizes - 1)));
    const double wanted = leader - hypothesis.log_prior - reach;
    double most = best_of(e).log_likelihood; // bounds, so far
    for (std::size_t k = 0; k + 1 < e.tried.size() && most < wanted; ++k) {
        const Interval i = look_at(w, hypothesis, e.tried, k, wanted);
        most = std::max(most, i.most);
        if (possible(e.tried[k]) != possible(e.tried[k + 1])) most = wanted; // nobody knows
    }
    if (most < wanted) {
        e.log_evidence = most;
        if (sized) integrate(coarse_curve(e.tried), e);
        return std::move(one.front());
    }
    for (int k = 1; sized && k < first_sizes; k += 2)
        e.tried.insert(e.tried.begin() + k,
                       predict_one(w, hypothesis, static_cast<double>(k) / (first_sizes - 1)));
    judge(w, one, leader);
    refine(w, e, leader);
    return std::move(one.front());
}

Evidence try_sizes(Weighing& w, const Hypothesis& hypothesis) {
    Evidence e = predict_sizes(w, hypothesis);
    for (Tried& t : e.tried)
        if (possible(t)) t.log_likelihood = log_likelihood(w.measured, t.predicted);
    e.log_evidence = e.tried.front().log_likelihood;
    return e;
}

double judge(Weighing& w, std::vector<Evidence>& all, double leader) {
    struct Case {
        const Hypothesis* hypothesis;
        Tried* tried;
        double prior, most;
    };
    std::vector<Case> cases;
    for (Evidence& e : all)
        for (Tried& t : e.tried)
            if (possible(t))
                cases.push_back(
                    {&e.hypothesis, &t, e.hypothesis.log_prior, e.hypothesis.log_prior + t.log_likelihood});
    std::sort(cases.begin(), cases.end(), [](const Case& a, const Case& b) { return a.most > b.most; });
    for (const Case& c : cases) {
        if (c.most < leader - beyond_reach) break;
        if (c.tried->predicted.rough && c.most < leader - reach) continue; // refine() asks if it matters
        sharpen(w, *c.hypothesis, *c.tried);
        if (possible(*c.tried)) c.tried->log_likelihood = log_likelihood(w.measured, c.tried->predicted);
        leader = std::max(leader, c.prior + c.tried->log_likelihood);
    }
    for (Evidence& e : all) e.log_evidence = e.tried.front().log_likelihood;
    return leader;
}

void refine(Weighing& w, Evidence& e, double leader) {
    if (e.tried.size() < 2) return;
    const double wanted = leader - e.hypothesis.log_prior - reach;
    const bool roughly =
        std::any_of(e.tried.begin(), e.tried.end(), [](const Tried& t) { return t.predicted.rough; });
    std::vector<Interval> intervals;
    for (std::size_t k = 0; k + 1 < e.tried.size(); ++k)
        intervals.push_back(look_at(w, e.hypothesis, e.tried, k, wanted));
    while (e.tried.size() < most_sizes) {
        // Halve first where most of the evidence may lie and is least well known.
        double total = impossible;
        for (const Interval& i : intervals) total = std::max(total, i.settled + std::log(i.width));
        std::size_t worst = intervals.size();
        double most = std::max(wanted, total + std::log(negligible));
        for (std::size_t k = 0; k < intervals.size(); ++k) {
            const Interval& i = intervals[k];
            if (i.open && i.most + std::log(i.width) > most) most = i.most + std::log(i.width), worst = k;
        }
        if (worst == intervals.size()) break;
        const Tried &a = e.tried[worst], &b = e.tried[worst + 1];
        const double place = a.place + intervals[worst].at * (b.place - a.place);
        e.tried.insert(e.tried.begin() + static_cast<std::ptrdiff_t>(worst) + 1,
                       roughly ? try_between(w, e.hypothesis, a, b, place) : try_one(w, e.hypothesis, place));
        intervals.insert(intervals.begin() + static_cast<std::ptrdiff_t>(worst), Interval{});
        const std::size_t first = worst > 0 ? worst - 1 : 0;
        for (std::size_t k = first; k < intervals.size() && k <= worst + 2; ++k)
            intervals[k] = look_at(w, e.hypothesis, e.tried, k, wanted);
    }
    integrate(fine_curve(w.measured, e.tried), e);
    if (e.log_evidence > wanted && try_best(w, e) && roughly) integrate(fine_curve(w.measured, e.tried), e);
    const FaultRange& range = e.hypothesis.faults.front();
    e.sizes.front() = {range.size_at(place_at(e, 0.05)), range.size_at(place_at(e, 0.50)),
                       range.size_at(place_at(e, 0.95))};
}

const Tried& best_of(const Evidence& e) {
    return *std::max_element(e.tried.begin(), e.tried.end(), [](const Tried& a, const Tried& b) {
        return a.log_likelihood < b.log_likelihood;
    });
}

double place_at(const Evidence& evidence, double share) {
    const auto& points = evidence.posterior;
    for (std::size_t k = 1; k < points.size(); ++k) {
        const SizePoint &a = points[k - 1], &b = points[k];
        if (b.before < share) continue;
        // Density is a straight line between the two: solve its quadratic for the mass still wanted.
        const double width = b.place - a.place, wanted = share - a.before;
        const double rise = (b.density - a.density) / width;
        const double root = std::sqrt(std::max(a.density * a.density + 2 * rise * wanted, 0.0));
        const double step = a.density + root > 0 ? 2 * wanted / (a.density + root) : 0;
        return a.place + std::min(step, width);
    }
    return points.empty() ? 0 : points.back().place;
}

} // namespace lostvolts

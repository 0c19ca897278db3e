#include "tests/locate/brute_network.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include <Eigen/Cholesky>

#include "solver/locate/locate.h"
#include "solver/locate/weighing.h"

namespace lostvolts::testing {
namespace {

constexpr int walked = 49, cells = 8; // places of the straight lines; cells between two of them
constexpr double from_prior = 0.2;    // share of the draws
constexpr double wider = 1.3;         // meters' errors in the straight lines, so that their tails suffice
constexpr int first_draws = 60, more_draws = 400, most_rounds = 24;
constexpr std::size_t most_readings = 6;

/// The straight lines at one place: what is shown, and by how much a deviate moves it.
struct Line {
    Eigen::VectorXd mean;
    Eigen::MatrixXd moves;
};

/// A way of reading: which readings the line is laid through, and ln of what the others weigh.
struct Way {
    std::uint32_t out = 0;
    double log_share = 0;
};

double log_normal(const Eigen::VectorXd& off, const Eigen::MatrixXd& c) {
    if (off.size() == 0) return 0;
    const Eigen::LLT<Eigen::MatrixXd> factor(c);
    const Eigen::VectorXd white = factor.matrixL().solve(off);
    const double log_root = factor.matrixLLT().diagonal().array().log().sum();
    return -0.5 * white.squaredNorm() - log_root -
           0.5 * static_cast<double>(off.size()) * std::log(2 * std::numbers::pi);
}

double normal_density(double off, double variance) {
    return std::exp(-0.5 * off * off / variance) / std::sqrt(2 * std::numbers::pi * variance);
}

/// Average of the draws so far.
struct Mean {
    double sum = 0, squares = 0;
    int count = 0;
    void add(double x) { sum += x, squares += x * x, ++count; }
    double value() const { return sum / count; }
    double error() const {
        const double mean = value();
        return std::sqrt(std::max(squares / count - mean * mean, 0.0) / count);
    }
};

class Hypothetical {
  public:
    Hypothetical(Weighing& w, std::optional<FaultRange> range, std::vector<Way> ways, bool foreign)
        : w_(w), range_(std::move(range)), ways_(std::move(ways)), foreign_(foreign) {
        straying_ = straying_numbers(deviations_with(w_, faults(0.5)));
        const bool sized = range_ && range_->sized();
        for (int k = 0; k < (sized ? walked : 1); ++k) lines_.push_back(line(sized ? place_of(k) : 0.5));
        const int all = sized ? (walked - 1) * cells : 1;
        double most = -1e300;
        for (int cell = 0; cell < all; ++cell) {
            const auto here = between(sized ? (cell + 0.5) / all : 0.5);
            for (const Way& way : ways_) {
                log_share_.push_back(here ? way.log_share + log_through(*here, way) : -1e300);
                most = std::max(most, log_share_.back());
            }
        }
        // A draw's share of going to this cell in this way; the evidence that the straight lines give.
        double total = 0;
        for (double& share : log_share_) share = std::exp(share - most), total += share;
        for (double& share : log_share_) reached_.push_back(share /= total), running_.push_back(share);
        for (std::size_t k = 1; k < running_.size(); ++k) running_[k] += running_[k - 1];
        straight_ = most + std::log(total / all);
    }

    /// ln of the evidence by straight lines, and of the scale that the draws are counted in.
    double straight() const { return straight_; }
    const Mean& mean() const { return mean_; }

    void draw(Random& r, int count) {
        for (int k = 0; k < count; ++k) mean_.add(weight_of_one(r));
    }

  private:
    static double place_of(int k) { return static_cast<double>(k) / (walked - 1); }
    std::vector<Fault> faults(double place) const {
        if (!range_) return {};
        return {{range_->part, range_->kind, range_->size_at(place)}};
    }

    /// The parts' numbers that stray, then the meters' gains.
    Eigen::Index deviates() const {
        return static_cast<Eigen::Index>(straying_.size()) + w_.measured.gain.cols();
    }

    std::optional<Line> line(double place) {
        Eigen::MatrixXd spread;
        const auto predicted = predict_readings(w_, faults(place), &spread);
        if (!predicted) return std::nullopt;
        // A fault at the end of its range may take a number's deviation away: the columns are all the same.
        const auto here = straying_numbers(deviations_with(w_, faults(place)));
        Eigen::MatrixXd moves = Eigen::MatrixXd::Zero(spread.rows(), deviates());
        if (w_.measured.gain.cols() > 0) moves.rightCols(w_.measured.gain.cols()) = w_.measured.gain;
        for (std::size_t j = 0; j < here.size(); ++j) {
            const auto at = std::lower_bound(straying_.begin(), straying_.end(), here[j]);
            if (at != straying_.end() && *at == here[j])
                moves.col(at - straying_.begin()) = spread.col(Eigen::Index(j));
        }
        return Line{predicted->mean, std::move(moves)};
    }

    std::optional<Line> between(double place) const {
        if (lines_.size() == 1) return lines_.front();
        const double at = place * (walked - 1);
        const auto k = static_cast<std::size_t>(std::clamp(std::floor(at), 0.0, walked - 2.0));
        const double t = at - static_cast<double>(k);
        const auto &a = lines_[k], &b = lines_[k + 1];
        if (!a || !b) return a ? a : b;
        return Line{(1 - t) * a->mean + t * b->mean, (1 - t) * a->moves + t * b->moves};
    }

    std::vector<Eigen::Index> in(const Way& way) const {
        std::vector<Eigen::Index> rows;
        for (Eigen::Index i = 0; i < w_.measured.value.size(); ++i)
            if (!(way.out >> i & 1U)) rows.push_back(i);
        return rows;
    }
    Eigen::MatrixXd covariance(const Line& at, const std::vector<Eigen::Index>& rows) const {
        const Eigen::MatrixXd moves = at.moves(rows, Eigen::all);
        Eigen::MatrixXd c = moves * moves.transpose();
        c.diagonal() += wider * wider * w_.measured.variance(rows);
        return c;
    }
    double log_through(const Line& at, const Way& way) const {
        const auto rows = in(way);
        return log_normal(w_.measured.value(rows) - at.mean(rows), covariance(at, rows));
    }

    /// The readings' density with these numbers, exactly.
    double density(double place, const std::vector<double>& strays, const Eigen::VectorXd& gains) {
        const Measured& m = w_.measured;
        Eigen::VectorXd shown(m.value.size());
        const std::vector<Fault> with = faults(place);
        for (MeasuredState& state : w_.states) {
            Setup setup = strayed(*w_.network, state.state, with, strays);
            if (operate(*w_.network, setup, w_.work, w_.at)) return 0;
            const auto values = read_probes(*w_.network, setup, w_.at, w_.work, state.probes);
            for (std::size_t k = 0; k < values.size(); ++k) shown[state.rows[k].index] = values[k];
        }
        if (gains.size() > 0) shown += m.gain * gains;
        if (foreign_) return some_foreign(shown);
        double p = 1;
        for (Eigen::Index i = 0; i < shown.size(); ++i)
            p *= (1 - blunder_share) * normal_density(m.value[i] - shown[i], m.variance[i]) +
                 blunder_share * swapped_share * normal_density(m.value[i] + shown[i], m.variance[i]) +
                 blunder_share * (1 - swapped_share) / m.span[i];
        return p;
    }

    /// The sum over all sets of readings that have nothing to do with the drawing: the ways are those sets.
    double some_foreign(const Eigen::VectorXd& shown) const {
        const Measured& m = w_.measured;
        double p = 0;
        for (const Way& way : ways_) {
            double set = std::exp(way.log_share);
            for (const Eigen::Index i : in(way)) set *= normal_density(m.value[i] - shown[i], m.variance[i]);
            p += set;
        }
        return p;
    }

    double weight_of_one(Random& r) {
        const Eigen::Index n = deviates();
        const std::size_t all = log_share_.size() / ways_.size();
        Eigen::VectorXd z = Eigen::VectorXd::NullaryExpr(n, [&] { return normal(r); });
        double place = uniform(r, 0, 1);
        const bool anywhere = uniform(r, 0, 1) < from_prior;
        std::size_t chosen = 0;
        if (!anywhere) {
            chosen = static_cast<std::size_t>(
                std::upper_bound(running_.begin(), running_.end(), uniform(r, 0, 1)) - running_.begin());
            chosen = std::min(chosen, running_.size() - 1);
            place = (static_cast<double>(chosen / ways_.size()) + place) / static_cast<double>(all);
        }
        const auto here = between(place);
        if (!here) return 0;
        const Measured& m = w_.measured;
        if (!anywhere) { // what these readings would leave of the draw is put right by what they are
            const auto rows = in(ways_[chosen % ways_.size()]);
            Eigen::VectorXd seen = here->moves(rows, Eigen::all) * z;
            for (std::size_t k = 0; k < rows.size(); ++k)
                seen[Eigen::Index(k)] += wider * std::sqrt(m.variance[rows[k]]) * normal(r);
            const Eigen::VectorXd off = m.value(rows) - here->mean(rows) - seen;
            z += here->moves(rows, Eigen::all).transpose() * covariance(*here, rows).llt().solve(off);
        }
        std::vector<double> strays(static_cast<std::size_t>(w_.network->numbers), 0.0);
        for (std::size_t j = 0; j < straying_.size(); ++j) strays[straying_[j]] = z[Eigen::Index(j)];

        // The density that place and deviates were drawn with, over what they have beforehand.
        const Eigen::VectorXd with = here->mean + here->moves * z;
        const auto cell = std::min(static_cast<std::size_t>(place * static_cast<double>(all)), all - 1);
        double drawn = from_prior;
        for (std::size_t k = 0; k < ways_.size(); ++k) {
            const double share = reached_[cell * ways_.size() + k] * static_cast<double>(all);
            if (share == 0) continue;
            double log_ratio = -log_through(*here, ways_[k]);
            for (const Eigen::Index i : in(ways_[k]))
                log_ratio +=
                    std::log(1e-300 + normal_density(m.value[i] - with[i], wider * wider * m.variance[i]));
            drawn += (1 - from_prior) * share * std::exp(log_ratio);
        }
        return density(place, strays, z.tail(n - static_cast<Eigen::Index>(straying_.size()))) / drawn;
    }

    Weighing& w_;
    std::optional<FaultRange> range_;
    std::vector<Way> ways_;
    bool foreign_;
    std::vector<std::size_t> straying_;
    std::vector<std::optional<Line>> lines_;
    std::vector<double> log_share_, reached_, running_; // cell by way
    double straight_ = 0;
    Mean mean_;
};

/// Any one or two of them blunders.
std::vector<Way> with_blunders(const Measured& m) {
    const auto n = static_cast<std::size_t>(m.value.size());
    std::vector<Way> ways;
    for (std::uint32_t out = 0; out < 1U << n; ++out) {
        if (std::popcount(out) > 2) continue;
        double log_share = 0;
        for (std::size_t i = 0; i < n; ++i)
            log_share += out >> i & 1U ? std::log(blunder_share / m.span[Eigen::Index(i)])
                                       : std::log1p(-blunder_share);
        ways.push_back({out, log_share});
    }
    return ways;
}

/// Any set of them foreign to the drawing (unmodelled.h).
std::vector<Way> with_foreign(const Measured& m, const Eigen::VectorXd& foreign) {
    const auto n = static_cast<std::size_t>(m.value.size());
    std::vector<Way> ways;
    for (std::uint32_t out = 0; out < 1U << n; ++out) {
        const auto k = static_cast<double>(std::popcount(out)), all = static_cast<double>(n);
        double log_share = std::lgamma(k + 1) + std::lgamma(all - k + 1) - std::lgamma(all + 2);
        for (std::size_t i = 0; i < n; ++i)
            if (out >> i & 1U) log_share += std::log(foreign[Eigen::Index(i)]);
        ways.push_back({out, log_share});
    }
    return ways;
}

/// Each reading's density were it foreign: every decade from a standard deviation to the span as likely.
Eigen::VectorXd foreign_densities(const Measured& m, const Predicted& sound) {
    const Eigen::ArrayXd sigma = (m.variance + sound.tolerance.diagonal()).array().sqrt();
    const Eigen::ArrayXd off = (m.value - sound.mean).array().abs().max(sigma);
    return (1 / (2 * off * (1 + (m.span.array() / sigma).max(1.0).log()))).matrix();
}

} // namespace

std::vector<BruteShare> brute_network(const Readings& job, Random& random, double enough) {
    const Network network = analyse(std::make_shared<const Circuit>(job.circuit));
    auto prepared = prepare(network, job);
    if (!prepared) throw std::logic_error(describe(prepared.problems().front()));
    Weighing& w = *prepared;
    if (w.weighed.size() > most_readings || !w.told.empty())
        throw std::logic_error("brute_network is for up to six readings that are numbers");
    w.measured.zero.resize(0); // a forgotten zero is not among what is integrated
    const Eigen::VectorXd foreign = foreign_densities(w.measured, *predict_readings(w, {}));

    std::vector<BruteShare> shares;
    std::vector<Hypothetical> all;
    std::vector<double> log_prior;
    for (const Hypothesis& h : single_faults(network, w.typical_amps, w.typical_volts)) {
        const bool faulty = !h.faults.empty();
        shares.push_back({faulty ? std::optional(h.faults.front()) : std::nullopt});
        all.emplace_back(w, shares.back().fault, with_blunders(w.measured), false);
        log_prior.push_back(h.log_prior - (faulty ? std::log1p(-prior_two) : 0)); // one fault at the most
    }
    shares.push_back({std::nullopt, true});
    all.emplace_back(w, std::nullopt, with_foreign(w.measured, foreign), true);
    log_prior.push_back(std::log(prior_unmodelled));

    double most = -1e300;
    for (std::size_t k = 0; k < all.size(); ++k) most = std::max(most, log_prior[k] + all[k].straight());
    const auto scale = [&](std::size_t k) { return std::exp(log_prior[k] - most); };
    for (Hypothetical& h : all) h.draw(random, first_draws);
    for (int round = 0;; ++round) {
        double total = 0, spread = 0;
        for (std::size_t k = 0; k < all.size(); ++k) total += scale(k) * all[k].mean().value();
        for (std::size_t k = 0; k < all.size(); ++k) {
            shares[k].probability = scale(k) * all[k].mean().value() / total;
            shares[k].error = scale(k) * all[k].mean().error() / total; // of its own weight
            spread += shares[k].error * shares[k].error;
        }
        bool again = false;
        for (std::size_t k = 0; k < all.size(); ++k) {
            const double p = shares[k].probability, own = shares[k].error;
            if (own > 0.5 * enough && round < most_rounds)
                all[k].draw(random, more_draws * (1 + round / 4)), again = true;
            shares[k].error = std::sqrt(std::pow((1 - p) * own, 2) + p * p * (spread - own * own));
        }
        if (!again) return shares;
    }
}

BesideBrute beside_brute(const RandomJob& job, Random& random) {
    const std::vector<BruteShare> shares = brute_network(job.readings, random);
    const auto found = locate(job.readings, AtMost::one, Advising::no);
    if (!found) throw std::logic_error(describe(found.problems().front()));
    const auto same_fault = [](const Suspect& s, const FaultRange& f) {
        return s.faults.size() == 1 && s.faults.front().part == f.part && s.faults.front().kind == f.kind;
    };
    const auto is = [&](const Suspect& s, const BruteShare& b) {
        if (s.unmodelled || b.unmodelled) return s.unmodelled && b.unmodelled;
        return b.fault ? same_fault(s, *b.fault) : s.faults.empty();
    };
    const auto is_truth = [&](const BruteShare& b) {
        if (job.truth == Truth::unmodelled || b.unmodelled)
            return job.truth == Truth::unmodelled && b.unmodelled;
        return b.fault ? job.range && b.fault->part == job.range->part && b.fault->kind == job.range->kind
                       : job.truth == Truth::healthy;
    };
    BesideBrute out;
    double most = 0;
    for (const BruteShare& b : shares) {
        const auto at = std::find_if(found->suspects.begin(), found->suspects.end(),
                                     [&](const Suspect& s) { return is(s, b); });
        if (at == found->suspects.end()) throw std::logic_error("a suspect is missing");
        const double off = std::abs(at->probability - b.probability);
        out.largest = std::max(out.largest, off);
        out.error = std::max(out.error, b.error);
        const bool truth = is_truth(b);
        if (truth) out.of_truth = b.probability, out.first = at == found->suspects.begin();
        if (b.probability > most) most = b.probability, out.brute_first = truth;
    }
    return out;
}

RandomJob small_job(Random& random, Family family) {
    JobRequest q;
    q.family = family;
    q.size = 8 + below(random, 6); // a harness may have two parts more
    q.readings = most_readings;
    q.errors = MeterErrors::shared_normal;
    q.truth = random_truth(random);
    return random_job(random, q);
}

} // namespace lostvolts::testing

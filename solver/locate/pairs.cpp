#include "solver/locate/pairs.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <memory>
#include <numbers>
#include <numeric>

#include "solver/locate/ceiling.h"
#include "solver/locate/singles.h"
#include "solver/locate/superposition.h"
#include "solver/locate/two_sizes.h"
#include "solver/units/patience.h"

namespace lostvolts {
namespace {

constexpr double interplay_error =
    0.3; // share of the two faults' interplay that the estimate may be wrong by
constexpr double regime_error =
    0.15;                           // share of either fault's change where the other moves its working point
constexpr double looks_at_all = 60; // in ln
constexpr double unknown = 1e300;   // no bound
constexpr double within = 1e-6;     // share of the total below which a rough bound needs no better one

// Share of the total that a stretch of sizes must be able to hold to be looked at more closely. Against 1e-6
// it moves no probability of the bundled jobs by more than 8e-4 and takes a third of the time.
constexpr double worth_a_solve = 3e-5;

/// What the bounds need of every reading, and of every size of every single.
struct Lattice {
    const Measured& measured;
    const std::vector<Evidence>& singles;
    Superposition s;
    double log_top = 0; // ln p where every reading is as its meter likes it best
    std::vector<std::vector<const Eigen::MatrixXd*>> tolerance; // per single, per size
    std::vector<std::vector<Eigen::VectorXd>> variance;         // … and of every reading on its own
    mutable std::vector<std::vector<std::unique_ptr<Inverted>>> covariances; // made when first asked for
    std::vector<bool> bounded; // per reading: the estimate is of it

    Lattice(Weighing& w, const std::vector<Evidence>& all)
        : measured(w.measured), singles(all), s(superpose(w, all)) {
        for (Eigen::Index r = 0; r < measured.value.size(); ++r) {
            log_top += std::max(-0.5 * std::log(2 * std::numbers::pi * measured.variance[r]),
                                std::log(blunder_share / measured.span[r]));
            bounded.push_back(w.reading(r).quantity != Measurand::resistance); // read dead: no current flows
        }
        for (std::size_t k = 0; k < all.size(); ++k) {
            tolerance.emplace_back();
            for (int i = 0; i < s.alone[k].sizes(); ++i)
                for (const Tried& t : all[k].tried)
                    if (t.place ==
                        (s.alone[k].sizes() > 1 ? static_cast<double>(i) / (first_sizes - 1) : 0.0))
                        tolerance.back().push_back(&t.predicted.tolerance);
            variance.emplace_back();
            for (const Eigen::MatrixXd* t : tolerance.back()) {
                variance.back().push_back(measured.variance);
                if (t->size() > 0)
                    variance.back().back() += t->diagonal(); // else no working point at this size
            }
            if (measured.zero.size() > 0)
                for (Eigen::VectorXd& v : variance.back()) v += measured.zero.cwiseAbs2();
            covariances.emplace_back(tolerance.back().size());
        }
    }

    const Inverted& covariance_of(std::size_t single, std::size_t size) const {
        std::unique_ptr<Inverted>& c = covariances[single][size];
        if (!c) c = std::make_unique<Inverted>(inverted(measured, *tolerance[single][size]));
        return *c;
    }
};

/// One pair on the lattice of its faults' sizes.
class PairOnLattice {
  public:
    PairOnLattice(const Lattice& l, const std::array<int, 2>& pair)
        : l_(l), a_(l.s.alone[static_cast<std::size_t>(pair[0])]),
          b_(l.s.alone[static_cast<std::size_t>(pair[1])]), first_(static_cast<std::size_t>(pair[0])),
          second_(static_cast<std::size_t>(pair[1])),
          rows_(static_cast<std::size_t>(l.measured.value.size())) {}

    /// The estimate at every two sizes; false when it says nothing of one.
    bool estimate() {
        const auto na = static_cast<std::size_t>(a_.sizes()), nb = static_cast<std::size_t>(b_.sizes());
        mean_.resize(na * nb * rows_);
        error_.resize(na * nb * rows_);
        regime_.resize(na * nb * rows_);
        std::vector<Scales> scales(l_.s.states);
        for (std::size_t i = 0; i < na; ++i)
            for (std::size_t j = 0; j < nb; ++j) {
                if (a_.change[i].size() == 0 || b_.change[j].size() == 0) return false;
                for (std::size_t k = 0; k < scales.size(); ++k)
                    if (!scales_of(l_.s, a_, static_cast<int>(i), b_, static_cast<int>(j), k, scales[k]))
                        return false;
                double* mean = &mean_[(i * nb + j) * rows_];
                double* error = &error_[(i * nb + j) * rows_];
                double* regime = &regime_[(i * nb + j) * rows_];
                for (std::size_t r = 0; r < rows_; ++r) {
                    const auto row = static_cast<Eigen::Index>(r);
                    const Scales& at = scales[static_cast<std::size_t>(l_.s.state_of_row[r])];
                    const double by_a = a_.change[i][row], by_b = b_.change[j][row];
                    mean[r] = l_.s.sound[row] + at.first * by_a + at.second * by_b;
                    error[r] = interplay_error * ((at.first - 1) * by_a + (at.second - 1) * by_b);
                    regime[r] = regime_error * at.moved * (std::abs(by_a) > std::abs(by_b) ? by_a : by_b);
                }
            }
        return true;
    }

    const double* mean(std::size_t i, std::size_t j) const { return at(mean_, i, j); }
    /// How far off it may be: by the two faults' interplay, and by the bent parts' other working point.
    const double* error(std::size_t i, std::size_t j) const { return at(error_, i, j); }
    const double* regime(std::size_t i, std::size_t j) const { return at(regime_, i, j); }

    /// ln of a bound on the evidence: from each reading on its own.
    double rough_bound(double least);
    /// … and from all of them together, where the rough one leaves anything.
    double bound(double least);

  private:
    struct Cell {
        std::size_t i0, i1, j0, j1;
        double log_area, log_bound;
    };
    /// One reading in a cell: its middle, half-changes across, and how far off that may be.
    struct Row {
        double mean, dx, dy, off;
    };

    const double* at(const std::vector<double>& of, std::size_t i, std::size_t j) const {
        return &of[(i * static_cast<std::size_t>(b_.sizes()) + j) * rows_];
    }
    Row row(const Cell& c, std::size_t r) const;

    const Lattice& l_;
    const Alone &a_, &b_;
    std::size_t first_, second_, rows_;
    std::vector<double> mean_, error_, regime_;
    std::vector<Cell> cells_;
};

PairOnLattice::Row PairOnLattice::row(const Cell& c, std::size_t r) const {
    const double ll = mean(c.i0, c.j0)[r], hl = mean(c.i1, c.j0)[r], lh = mean(c.i0, c.j1)[r],
                 hh = mean(c.i1, c.j1)[r];
    const auto at = static_cast<Eigen::Index>(r);
    double bend = 0;
    if (c.i1 > c.i0) bend += std::abs(a_.bend[c.i0][at]);
    if (c.j1 > c.j0) bend += std::abs(b_.bend[c.j0][at]);
    const auto wrong = [&](std::size_t i, std::size_t j) {
        return std::abs(error(i, j)[r]) + std::abs(regime(i, j)[r]);
    };
    return {0.25 * (ll + hl + lh + hh), 0.25 * (hl + hh - ll - lh), 0.25 * (lh + hh - ll - hl),
            bend + std::max(wrong(c.i0, c.j0), wrong(c.i1, c.j1))};
}

/// Blunders leave out at most two readings, at their own price; of the rest the worst alone bounds the square
/// sum, and the meters' variances alone the determinant.
double PairOnLattice::rough_bound(double least) {
    const auto na = static_cast<std::size_t>(a_.sizes()), nb = static_cast<std::size_t>(b_.sizes());
    const double log_area = -std::log(static_cast<double>(std::max<std::size_t>(na - 1, 1))) -
                            std::log(static_cast<double>(std::max<std::size_t>(nb - 1, 1)));
    const double ways = std::log(1.0 + static_cast<double>(rows_ * (rows_ + 1)) / 2);
    const double top = l_.log_top + 1 + ways;                // where every reading fits
    const double enough = 2 * (top + log_area - least) + 20; // a third square beyond it: nothing is left
    double total = -unknown;
    for (std::size_t i = 0; i < std::max<std::size_t>(na - 1, 1); ++i)
        for (std::size_t j = 0; j < std::max<std::size_t>(nb - 1, 1); ++j) {
            Cell c{i, na > 1 ? i + 1 : i, j, nb > 1 ? j + 1 : j, log_area, 0};
            const Eigen::VectorXd &a0 = l_.variance[first_][c.i0], &a1 = l_.variance[first_][c.i1],
                                  &b0 = l_.variance[second_][c.j0], &b1 = l_.variance[second_][c.j1];
            struct Worst {
                double square = 0, price = 0;
            };
            std::array<Worst, 3> worst{};
            for (std::size_t r = 0; r < rows_ && worst[2].square < enough; ++r) {
                if (!l_.bounded[r]) continue;
                const auto at = static_cast<Eigen::Index>(r);
                const Row here = row(c, r);
                const double off = l_.measured.value[at] - here.mean;
                const double variance = std::max({a0[at], a1[at], b0[at], b1[at]}) + here.dx * here.dx +
                                        here.dy * here.dy + here.off * here.off;
                const double square = off * off / variance;
                if (square <= worst[2].square) continue;
                worst[2] = {square, price_of_blunder(l_.measured, at, here.mean, variance)};
                for (const std::size_t k : {1, 0})
                    if (worst[k + 1].square > worst[k].square) std::swap(worst[k], worst[k + 1]);
            }
            if (worst[2].square >= enough) continue;
            const double none_out = -0.5 * worst[0].square;
            const double one_out = worst[0].price - 0.5 * worst[1].square;
            const double two_out = worst[0].price + worst[1].price - 0.5 * worst[2].square;
            c.log_bound = top + std::max({none_out, one_out, two_out});
            total = log_sum(total, c.log_bound + log_area);
            cells_.push_back(c);
        }
    return total;
}

/// The rows that no estimate speaks of count as if they fitted.
double PairOnLattice::bound(double least) {
    const auto n = static_cast<Eigen::Index>(rows_);
    double total = -unknown;
    for (const Cell& c : cells_) {
        if (c.log_bound + c.log_area < least) continue;
        Eigen::MatrixXd spread = Eigen::MatrixXd::Zero(n, 5 + 2 * static_cast<Eigen::Index>(l_.s.states));
        Eigen::VectorXd mean(n);
        for (Eigen::Index r = 0; r < n; ++r) {
            const Row here = row(c, static_cast<std::size_t>(r));
            mean[r] = l_.bounded[static_cast<std::size_t>(r)] ? here.mean : l_.measured.value[r];
            spread(r, 0) = here.dx;
            spread(r, 1) = here.dy;
        }
        if (c.i1 > c.i0) spread.col(2) = a_.bend[c.i0];
        if (c.j1 > c.j0) spread.col(3) = b_.bend[c.j0];
        if (l_.measured.zero.size() > 0) spread.rightCols(1) = l_.measured.zero; // of a clamp, forgotten
        const auto larger = [](double a, double b) { return std::abs(a) > std::abs(b) ? a : b; };
        for (Eigen::Index r = 0; r < n; ++r) {
            const auto k = static_cast<std::size_t>(r);
            const Eigen::Index column = 4 + 2 * l_.s.state_of_row[k];
            spread(r, column) = larger(error(c.i0, c.j0)[k], error(c.i1, c.j1)[k]);
            spread(r, column + 1) = larger(regime(c.i0, c.j0)[k], regime(c.i1, c.j1)[k]);
        }
        const Inverted &fa = l_.covariance_of(first_, c.i0), &fb = l_.covariance_of(second_, c.j0);
        const bool a_wider = fa.log_determinant > fb.log_determinant;
        const double narrower = 0.5 * std::abs(fa.log_determinant - fb.log_determinant);
        const double most = ceiling_over(l_.measured, a_wider ? fa : fb, mean, spread).most + narrower;
        total = log_sum(total, std::min(c.log_bound, most) + c.log_area);
    }
    return std::max(total, least);
}

/// A fault without size stops the current or a shaft altogether: what then matters is the meter's own path
/// and the bent parts' other end, and an estimate from the sound circuit is of little use. Two of them cost
/// one solve anyway; one with another that has a size is asked of the circuit when the readings look at all
/// as it alone would have them.
bool asks_for_the_circuit(const std::vector<Evidence>& singles, const std::array<int, 2>& pair,
                          double leader) {
    int sized = 0;
    bool looks_so = false;
    for (const int k : pair) {
        const Evidence& e = singles[static_cast<std::size_t>(k)];
        if (e.hypothesis.faults.front().sized())
            ++sized;
        else
            looks_so |= e.hypothesis.log_prior + best_of(e).log_likelihood > leader - looks_at_all;
    }
    return sized == 0 || looks_so;
}

/// Pairs that have one evidence; the likeliest beforehand speaks for them.
struct PairGroup {
    std::vector<WeighedPair> members;
    std::size_t speaker = 0;
    double log_prior = -unknown; // of all together
    double log_bound = unknown;  // … and with it what their evidence may be

    void add(WeighedPair pair) {
        if (!members.empty() && pair.log_prior > members[speaker].log_prior) speaker = members.size();
        log_prior = log_sum(log_prior, pair.log_prior);
        members.push_back(pair);
    }
};

Evidence weigh_one(Weighing& w, const Hypothesis& h, double leader, double least) {
    if (h.faults[0].sized() && h.faults[1].sized()) return weigh_two_sizes(w, h, least);
    return weigh_sizes(w, h, leader);
}

/// All pairs, as hypotheses of the singles; with groups or each on its own.
struct PairTable {
    std::vector<Hypothesis> singles;
    double log_odds = 0, leader = -unknown;
    std::vector<PairGroup> groups;
    double worth = worth_a_solve;

    PairTable(const std::vector<Evidence>& weighed, const Alike* alike, PairStudy& study) {
        for (const Evidence& e : weighed) {
            singles.push_back(e.hypothesis);
            for (const Tried& t : e.tried)
                leader = std::max(leader, e.hypothesis.log_prior + t.log_likelihood);
        }
        const std::vector<std::array<int, 2>> pairs = pairs_of(singles);
        log_odds = log_odds_of_pairs(singles, pairs);
        std::map<PairKey, std::size_t> places;
        for (std::array<int, 2> pair : pairs) {
            const PairKey key = alike ? key_of(*alike, pair) : PairKey{};
            WeighedPair member{pair, none,
                               log_prior_of_both(singles[static_cast<std::size_t>(pair[0])],
                                                 singles[static_cast<std::size_t>(pair[1])], log_odds),
                               0};
            if (!alike) {
                groups.emplace_back().add(member);
                continue;
            }
            if (key.idle[0] || key.idle[1]) {
                const int shows = pair[key.idle[0] ? 1 : 0]; // or neither does
                member.log_evidence = weighed[static_cast<std::size_t>(shows)].log_evidence;
                study.weighed.push_back(member);
                continue;
            }
            const auto [at, fresh] = places.try_emplace(key, groups.size());
            if (fresh) groups.emplace_back();
            groups[at->second].add(member);
        }
        study.considered = static_cast<int>(pairs.size());
    }

    Hypothesis hypothesis(const std::array<int, 2>& pair) const {
        return both(singles[static_cast<std::size_t>(pair[0])], singles[static_cast<std::size_t>(pair[1])],
                    log_odds);
    }
    const std::array<int, 2>& speaker(const PairGroup& g) const { return g.members[g.speaker].singles; }
};

/// Weighs one group, for all its members.
void weigh_group(Weighing& w, PairTable& table, PairGroup& g, double& log_total, PairStudy& study) {
    Hypothesis h = table.hypothesis(table.speaker(g));
    h.log_prior = g.log_prior;
    Evidence e = weigh_one(w, h, table.leader, log_total - g.log_prior + std::log(table.worth));
    table.leader = std::max(table.leader, h.log_prior + best_of(e).log_likelihood);
    log_total = log_sum(log_total, e.log_weight());
    for (WeighedPair& member : g.members) {
        member.evidence = static_cast<int>(study.evidence.size());
        member.log_evidence = e.log_evidence;
        study.weighed.push_back(member);
    }
    study.evidence.push_back(std::move(e));
}

} // namespace

PairStudy weigh_pairs(Weighing& w, const std::vector<Evidence>& singles, const Alike& alike, double log_total,
                      double share) {
    PairStudy study;
    study.log_passed_over = -unknown;
    if (singles.size() > most_singles_paired) return study;
    PairTable table(singles, &alike, study);
    for (const WeighedPair& idle : study.weighed) log_total = log_sum(log_total, idle.log_weight());
    const Lattice lattice(w, singles);
    for (PairGroup& g : table.groups) {
        give_up_if_told();
        const std::array<int, 2>& pair = table.speaker(g);
        if (asks_for_the_circuit(singles, pair, table.leader)) continue;
        PairOnLattice on(lattice, pair);
        if (!on.estimate()) continue;
        const double least = log_total - g.log_prior + std::log(within);
        double most = on.rough_bound(least);
        if (most > least) most = on.bound(least);
        g.log_bound = g.log_prior + most;
    }
    std::vector<PairGroup>& order = table.groups;
    std::stable_sort(order.begin(), order.end(),
                     [](const PairGroup& a, const PairGroup& b) { return a.log_bound > b.log_bound; });
    std::vector<double> rest(order.size() + 1, -unknown); // ln of what this one and all after it can weigh
    for (std::size_t k = order.size(); k-- > 0;) rest[k] = log_sum(rest[k + 1], order[k].log_bound);
    for (std::size_t k = 0; k < order.size(); ++k) {
        if (rest[k] < log_total + std::log(share)) {
            study.log_passed_over = rest[k];
            break;
        }
        weigh_group(w, table, order[k], log_total, study);
    }
    return study;
}

PairStudy weigh_every_pair(Weighing& w, const std::vector<Evidence>& singles, double log_total) {
    PairStudy study;
    study.log_passed_over = -unknown;
    PairTable table(singles, nullptr, study);
    table.worth = within; // each integrated finely, however little it weighs
    for (PairGroup& g : table.groups) weigh_group(w, table, g, log_total, study);
    return study;
}

Evidence evidence_of(const PairStudy& study, const WeighedPair& pair,
                     const std::vector<Hypothesis>& singles) {
    Hypothesis h = both(singles[static_cast<std::size_t>(pair.singles[0])],
                        singles[static_cast<std::size_t>(pair.singles[1])], 0);
    h.log_prior = pair.log_prior;
    return on_behalf_of(study.evidence[static_cast<std::size_t>(pair.evidence)], std::move(h));
}

std::optional<PairEstimate> estimate_pair(Weighing& w, const std::vector<Evidence>& singles,
                                          std::array<int, 2> pair, int i, int j) {
    const Lattice lattice(w, singles);
    PairOnLattice on(lattice, pair);
    if (!on.estimate()) return std::nullopt;
    const auto n = w.measured.value.size();
    const auto a = static_cast<std::size_t>(i), b = static_cast<std::size_t>(j);
    return PairEstimate{Eigen::Map<const Eigen::VectorXd>(on.mean(a, b), n),
                        Eigen::Map<const Eigen::VectorXd>(on.error(a, b), n).cwiseAbs() +
                            Eigen::Map<const Eigen::VectorXd>(on.regime(a, b), n).cwiseAbs()};
}

} // namespace lostvolts

#include "solver/locate/advice.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "solver/locate/scenes.h"

namespace lostvolts {
namespace {

constexpr double least_bits = 0.01;
constexpr std::size_t listed = 4;
constexpr std::size_t shortlist = 48;
constexpr std::array<double, 3> size_shares{1.0 / 6, 0.5, 5.0 / 6}; // the middles of thirds of the posterior

// Times, common practice, no source: setting the meter and reading it, a point that is open already, changing
// the state, a clamp round a loom, and cutting an ammeter in when there is no clamp.
constexpr double reading_minutes = 0.5, open_point_minutes = 0.25, state_minutes = 1, holding_minutes = 2,
                 clamp_minutes = 1, ammeter_minutes = 8;

constexpr double worth_walking =
    0.3; // of the most that any reading tells: a cheap one that settles little comes back later
constexpr double across_bonus = 1.05; // a drop straight across a part is the plainest to understand

struct Candidate {
    int state = 0;
    int red = none, black = none; // index into the reach's points
    int clamp = none;             // index into its clamps
    double minutes = 0, score = 0, bits = 0;
};

struct Bell {
    double mean = 0, variance = 0, weight = 0;
    int rival = 0;
};

struct Board {
    Weighing& w;
    const std::vector<Rival>& rivals;
    Reach reach;
    std::vector<std::vector<Scene>> scenes; // per rival
    bool has_clamp = false;

    /// What each rival's scenes say of a candidate, the meter's own error in.
    std::vector<Bell> bells(const Candidate& c) const {
        std::vector<Bell> all;
        const double resolution = c.clamp == none ? 0.01 : 0.1;
        const Accuracy accuracy = c.clamp == none ? Accuracy{0.005, 2} : Accuracy{0.02, 5};
        for (std::size_t r = 0; r < rivals.size(); ++r)
            for (const Scene& scene : scenes[r]) {
                const View& v = scene.states[static_cast<std::size_t>(c.state)];
                if (v.mean.size() == 0) continue;
                Bell b{0, 0, rivals[r].probability * scene.weight, static_cast<int>(r)};
                if (c.clamp != none) {
                    const auto k = static_cast<Eigen::Index>(reach.points.size()) + c.clamp;
                    b.mean = v.mean[k];
                    b.variance = v.covariance(k, k);
                } else if (v.section[static_cast<std::size_t>(c.red)] ==
                           v.section[static_cast<std::size_t>(c.black)]) {
                    b.mean = v.mean[c.red] - v.mean[c.black];
                    b.variance = v.covariance(c.red, c.red) + v.covariance(c.black, c.black) -
                                 2 * v.covariance(c.red, c.black);
                }
                const double meter = instrument_sigma(accuracy, resolution, b.mean);
                b.variance = std::max(b.variance, 0.0) + meter * meter;
                all.push_back(b);
            }
        return all;
    }

    double minutes_to(PointId p) const {
        for (const Reading& r : w.job->readings)
            if (r.red == p || r.black == p) return open_point_minutes;
        return si(w.network->circuit->points[static_cast<std::size_t>(p)].access) / 60;
    }

    double minutes_of(const Candidate& c) const {
        double m = reading_minutes;
        const int last = w.job->readings.empty() ? none : w.job->readings.back().state;
        if (last != none && last != c.state) m += state_minutes;
        if (!w.network->circuit->states[static_cast<std::size_t>(c.state)].locked.empty())
            m += holding_minutes;
        if (c.clamp != none) return m + (has_clamp ? clamp_minutes : ammeter_minutes);
        return m + minutes_to(reach.points[static_cast<std::size_t>(c.red)]) +
               minutes_to(reach.points[static_cast<std::size_t>(c.black)]);
    }

    bool across_a_part(const Candidate& c) const {
        if (c.clamp != none) return false;
        const PointId a = reach.points[static_cast<std::size_t>(c.red)],
                      b = reach.points[static_cast<std::size_t>(c.black)];
        const auto& parts = w.network->circuit->parts;
        return std::any_of(parts.begin(), parts.end(), [&](const Part& p) {
            return (p.from == a && p.to == b) || (p.from == b && p.to == a);
        });
    }

    bool taken(const Candidate& c) const {
        return std::any_of(w.job->readings.begin(), w.job->readings.end(), [&](const Reading& r) {
            if (r.state != c.state) return false;
            if (c.clamp != none)
                return r.quantity == Measurand::current &&
                       r.through == reach.clamps[static_cast<std::size_t>(c.clamp)];
            const PointId a = reach.points[static_cast<std::size_t>(c.red)],
                          b = reach.points[static_cast<std::size_t>(c.black)];
            return r.quantity == Measurand::voltage &&
                   ((r.red == a && r.black == b) || (r.red == b && r.black == a));
        });
    }
};

/// ½·ln(1 + variance between rivals / variance within): quick, and never far from the order of the real
/// thing.
double screen(const std::vector<Bell>& bells) {
    double weight = 0, mean = 0, within = 0;
    for (const Bell& b : bells) weight += b.weight, mean += b.weight * b.mean;
    mean /= weight;
    double most = 0;
    // A rival against all the others: one that stands apart counts even when its probability is small.
    for (const Bell& b : bells) {
        within = b.variance;
        const double apart = (b.mean - mean) * (b.mean - mean) / within;
        most += b.weight / weight * std::log1p(apart);
    }
    return 0.5 * most;
}

double density(double y, const Bell& b) {
    return std::exp(-0.5 * (y - b.mean) * (y - b.mean) / b.variance) /
           std::sqrt(2 * std::numbers::pi * b.variance);
}

/// Mutual information between rival and reading, bits.
double information(const std::vector<Bell>& bells, std::size_t rivals) {
    // Gauss–Hermite, 7 points, for a weight of exp(−x²).
    static constexpr std::array<double, 7> node{
        -2.651961356835233, -1.673551628767471, -0.816287882858965, 0.0,
        0.816287882858965,  1.673551628767471,  2.651961356835233};
    static constexpr std::array<double, 7> weight{
        9.717812450995192e-4, 5.451558281912703e-2, 4.256072526101278e-1, 8.102646175568073e-1,
        4.256072526101278e-1, 5.451558281912703e-2, 9.717812450995192e-4};
    std::vector<double> share(rivals, 0.0), at(rivals);
    double total = 0;
    for (const Bell& b : bells) share[static_cast<std::size_t>(b.rival)] += b.weight, total += b.weight;
    double nats = 0;
    for (const Bell& b : bells)
        for (std::size_t q = 0; q < node.size(); ++q) {
            const double y = b.mean + std::sqrt(2 * b.variance) * node[q];
            std::fill(at.begin(), at.end(), 0.0);
            double all = 0;
            for (const Bell& o : bells) {
                const double d = o.weight * density(y, o);
                at[static_cast<std::size_t>(o.rival)] += d;
                all += d;
            }
            const auto r = static_cast<std::size_t>(b.rival);
            nats += b.weight / total * weight[q] / std::sqrt(std::numbers::pi) *
                    std::log(at[r] / share[r] * total / all);
        }
    return std::max(nats, 0.0) / std::numbers::ln2;
}

std::vector<Outcome> outcomes(const std::vector<Bell>& bells, const std::vector<Rival>& rivals) {
    std::vector<Outcome> all;
    for (std::size_t r = 0; r < rivals.size(); ++r) {
        double weight = 0, mean = 0;
        Outcome o{rivals[r].suspect, 0, 1e300, -1e300};
        for (const Bell& b : bells) {
            if (b.rival != static_cast<int>(r)) continue;
            weight += b.weight;
            mean += b.weight * b.mean;
            const double half = 1.645 * std::sqrt(b.variance);
            o.low = std::min(o.low, b.mean - half);
            o.high = std::max(o.high, b.mean + half);
        }
        if (weight == 0) continue;
        o.expect = mean / weight;
        all.push_back(o);
    }
    return all;
}

std::vector<Candidate> candidates(const Board& board) {
    std::vector<Candidate> all;
    const auto add = [&](Candidate c) {
        if (board.taken(c)) return;
        const std::vector<Bell> bells = board.bells(c);
        if (bells.empty()) return;
        c.minutes = board.minutes_of(c);
        c.score = screen(bells) / c.minutes;
        all.push_back(c);
    };
    for (int s = 0; s < static_cast<int>(board.w.network->circuit->states.size()); ++s) {
        for (int a = 0; a < static_cast<int>(board.reach.points.size()); ++a)
            for (int b = a + 1; b < static_cast<int>(board.reach.points.size()); ++b)
                add({.state = s, .red = a, .black = b});
        for (int k = 0; k < static_cast<int>(board.reach.clamps.size()); ++k) add({.state = s, .clamp = k});
    }
    return all;
}

/// Two ways to use the same access: the harder lead in common, and no more to learn. The first says it.
bool much_like(const Board& board, const Candidate& c, const Candidate& listed_one) {
    if ((c.clamp != none) != (listed_one.clamp != none)) return false;
    if (c.clamp != none) return true;
    const auto slow = [&](const Candidate& k) {
        const PointId a = board.reach.points[static_cast<std::size_t>(k.red)],
                      b = board.reach.points[static_cast<std::size_t>(k.black)];
        return board.minutes_to(a) >= board.minutes_to(b) ? a : b;
    };
    return slow(c) == slow(listed_one) && c.bits < 1.1 * listed_one.bits;
}

NextReading worded(const Board& board, const Candidate& c) {
    NextReading next;
    next.state = c.state;
    next.bits = c.bits;
    next.minutes = c.minutes;
    std::vector<Bell> bells = board.bells(c);
    if (c.clamp != none) {
        next.quantity = Measurand::current;
        next.through = board.reach.clamps[static_cast<std::size_t>(c.clamp)];
    } else {
        double mean = 0;
        for (const Bell& b : bells) mean += b.weight * b.mean;
        next.red = board.reach.points[static_cast<std::size_t>(c.red)];
        next.black = board.reach.points[static_cast<std::size_t>(c.black)];
        if (mean < 0) { // the red lead goes where it is higher
            std::swap(next.red, next.black);
            for (Bell& b : bells) b.mean = -b.mean;
        }
    }
    next.outcomes = outcomes(bells, board.rivals);
    return next;
}

} // namespace

std::vector<NextReading> advise(Weighing& w, const std::vector<Rival>& rivals) {
    if (rivals.size() < 2) return {};
    std::vector<PartId> suspected;
    for (const Rival& r : rivals)
        for (const FaultRange& f : r.evidence->hypothesis.faults) suspected.push_back(f.part);
    Board board{w, rivals, reach_of(w, suspected), {}, false};
    board.has_clamp = std::any_of(w.job->readings.begin(), w.job->readings.end(),
                                  [](const Reading& r) { return r.quantity == Measurand::current; });
    for (const Rival& r : rivals) {
        std::vector<Scene> scenes;
        const bool sized = r.evidence->tried.size() > 1;
        for (const double share : size_shares) {
            auto scene =
                stage(w, board.reach, faults_at(r.evidence->hypothesis, place_at(*r.evidence, share)));
            if (scene) {
                scene->weight = sized ? 1.0 / size_shares.size() : 1.0;
                scenes.push_back(std::move(*scene));
            }
            if (!sized) break;
        }
        board.scenes.push_back(std::move(scenes));
    }

    std::vector<Candidate> all = candidates(board);
    const auto by_score = [](const Candidate& a, const Candidate& b) { return a.score > b.score; };
    const std::size_t kept = std::min(shortlist, all.size());
    std::partial_sort(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(kept), all.end(), by_score);
    all.resize(kept);
    for (Candidate& c : all) {
        c.bits = information(board.bells(c), rivals.size());
        c.score = c.bits / c.minutes * (board.across_a_part(c) ? across_bonus : 1);
    }
    double most = 0;
    for (const Candidate& c : all) most = std::max(most, c.bits);
    std::erase_if(all,
                  [&](const Candidate& c) { return c.bits < std::max(least_bits, worth_walking * most); });
    std::sort(all.begin(), all.end(), by_score);
    std::vector<Candidate> chosen;
    for (const Candidate& c : all) {
        if (chosen.size() == listed) break;
        const bool same = std::any_of(chosen.begin(), chosen.end(),
                                      [&](const Candidate& o) { return much_like(board, c, o); });
        if (!same) chosen.push_back(c);
    }
    std::vector<NextReading> next;
    for (const Candidate& c : chosen) next.push_back(worded(board, c));
    return next;
}

} // namespace lostvolts

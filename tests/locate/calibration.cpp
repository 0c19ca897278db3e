#include "tests/locate/calibration.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <stdexcept>

#include "solver/locate/evidence.h"

namespace lostvolts::testing {
namespace {

constexpr std::size_t bin_count = 10;

bool is_truth(const Suspect& s, const RandomJob& job) {
    if (job.truth == Truth::unmodelled) return s.unmodelled;
    if (s.unmodelled) return false;
    if (job.truth == Truth::healthy) return s.faults.empty();
    return s.faults.size() == 1 && s.faults.front().part == job.range->part &&
           s.faults.front().kind == job.range->kind;
}

/// The true fault's posterior over its size, whatever its probability.
void judge_size(const RandomJob& job, Judged& out) {
    const Network network = analyse(std::make_shared<const Circuit>(job.readings.circuit));
    auto weighing = prepare(network, job.readings);
    if (!weighing) throw std::logic_error(describe(weighing.problems().front()));
    Evidence e = try_sizes(*weighing, {{*job.range}, 0});
    refine(*weighing, e, best_of(e).log_likelihood);
    const FaultRange& range = *job.range;
    const double place = range.logarithmic()
                             ? std::log(job.size / range.low) / std::log(range.high / range.low)
                             : (job.size - range.low) / (range.high - range.low);
    double low = 0, high = 1; // the share below `place`, by halving
    while (high - low > 1e-6) {
        const double middle = (low + high) / 2;
        (place_at(e, middle) < place ? low : high) = middle;
    }
    out.below = (low + high) / 2;
    out.width = place_at(e, 0.95) - place_at(e, 0.05);
}

struct Counter {
    int hits = 0, of = 0;
    void count(bool hit) { hits += hit, ++of; }
    Share share() const { return share_of(hits, of); }
};

} // namespace

Judged judge(const RandomJob& job, Family family) {
    const auto found = locate(job.readings, AtMost::one, Advising::no);
    if (!found) throw std::logic_error(describe(found.problems().front()));
    Judged out;
    out.family = family;
    out.truth = job.truth;
    out.parts = static_cast<int>(job.readings.circuit.parts.size());
    out.readings = static_cast<int>(job.readings.readings.size());
    out.blundered = job.blundered;
    out.verdict = found->verdict;
    if (job.range) out.kind = job.range->kind;
    out.first = found->suspects.front().probability;
    for (std::size_t i = 0; i < found->suspects.size(); ++i) {
        const Suspect& s = found->suspects[i];
        const bool truth = is_truth(s, job);
        out.brier += std::pow(s.probability - (truth ? 1 : 0), 2);
        if (truth) out.of_truth = s.probability, out.right = i == 0, out.among_three = i < 3;
        if (s.unmodelled) out.unmodelled = s.probability;
        if (job.range && !s.faults.empty() && s.faults.front().part == job.range->part)
            out.of_part += s.probability;
    }
    std::map<PartId, double> on_part;
    for (const Suspect& s : found->suspects)
        if (!s.faults.empty()) on_part[s.faults.front().part] += s.probability;
    for (const auto& [part, probability] : on_part) out.surest_part = std::max(out.surest_part, probability);
    for (const ReadingCheck& c : found->readings) out.dismissed += c.suspect_reading;
    double squares = 0, mean = 0, mean_square = 0;
    for (const Suspect& s : found->suspects) squares += s.probability * s.probability;
    for (const Suspect& s : found->suspects) { // were this one the truth
        const double brier = squares - 2 * s.probability + 1;
        mean += s.probability * brier;
        mean_square += s.probability * brier * brier;
    }
    out.brier_if_right = mean;
    out.brier_variance = std::max(mean_square - mean * mean, 0.0);
    if (job.range && job.range->sized()) judge_size(job, out);
    return out;
}

bool admits(const Judged& j) { return j.verdict == Verdict::contradictory || j.surest_part < 0.9; }

Share share_of(int hits, int of) {
    if (of == 0) return {};
    const double share = static_cast<double>(hits) / of;
    return {share, std::sqrt(share * (1 - share) / of), of};
}

Calibration calibration_of(const std::vector<const Judged*>& judged) {
    Calibration c;
    c.jobs = static_cast<int>(judged.size());
    c.bins.resize(bin_count);
    std::vector<double> variance(bin_count, 0.0); // of a bin's hits, were the probabilities right
    Counter first, three, sure, in_50, in_90, narrow_50, narrow_90;
    double brier_squares = 0;
    for (const Judged* j : judged) {
        first.count(j->right);
        three.count(j->among_three);
        c.brier += j->brier;
        brier_squares += j->brier * j->brier;
        const auto b = std::min(static_cast<std::size_t>(j->first * bin_count), bin_count - 1);
        ++c.bins[b].count;
        c.bins[b].hits += j->right;
        c.bins[b].said += j->first;
        variance[b] += j->first * (1 - j->first);
        if (j->first >= 0.95) sure.count(j->right), c.sure_said += j->first;
        if (!j->below) continue;
        const double off = std::abs(*j->below - 0.5);
        in_50.count(off < 0.25);
        in_90.count(off < 0.45);
        if (j->width >= 0.5) continue;
        narrow_50.count(off < 0.25);
        narrow_90.count(off < 0.45);
    }
    const double n = std::max(c.jobs, 1);
    c.brier /= n;
    c.brier_error = std::sqrt(std::max(brier_squares / n - c.brier * c.brier, 0.0) / n);
    for (std::size_t b = 0; b < bin_count; ++b) {
        Bin& bin = c.bins[b];
        if (bin.count == 0) continue;
        c.expected_error += std::abs(bin.hits - bin.said) / n;
        c.expected_by_chance += std::sqrt(2 / std::numbers::pi * variance[b]) / n;
        bin.said /= bin.count;
    }
    c.first = first.share();
    c.three = three.share();
    c.sure = sure.share();
    c.sure_said /= std::max(sure.of, 1);
    c.inside_50 = in_50.share();
    c.inside_90 = in_90.share();
    c.narrowed_inside_50 = narrow_50.share();
    c.narrowed_inside_90 = narrow_90.share();
    return c;
}

} // namespace lostvolts::testing

#include "solver/locate/locate.h"

#include <algorithm>
#include <cmath>
#include <list>
#include <memory>
#include <numeric>

#include "solver/locate/advice.h"
#include "solver/locate/goodness.h"
#include "solver/locate/pairs.h"
#include "solver/locate/singles.h"
#include "solver/locate/slips.h"
#include "solver/locate/unmodelled.h"

namespace lostvolts {
namespace {

constexpr double sure = 0.90;    // a part this probable is located
constexpr double running = 1e-3; // suspects below this don't shape the advice
constexpr std::size_t most_rivals = 32;
constexpr double too_far = 1e-4; // chance of so much misfit below which nothing fits. Judgement, no source
constexpr double speaks_for_both = 3;  // times as probable as with one of the two alone
constexpr double worth_listing = 1e-4; // of probability, for a pair
constexpr double hopeless = 1e-6;      // of probability
constexpr double unseen_share = 0.1;   // of an instrument's standard deviation
constexpr double read_alike = 0.1;     // in ln: two suspects' evidence
constexpr double as_probable = 0.8;

/// Every hypothesis that is listed, by falling probability.
struct Ranked {
    std::vector<Evidence> evidence;
    std::vector<double> probability;
    double unmodelled = 0;
    std::vector<char> clash; ///< if it is that: per number, then per word
    bool too_many_for_pairs = false;
};

/// Whether the readings speak for both faults: the pair explains them better than either alone.
bool both_are_seen(const WeighedPair& pair, const std::vector<Evidence>& singles) {
    if (pair.evidence == none) return false;
    double alone = -1e300;
    for (const int s : pair.singles)
        alone = std::max(alone, singles[static_cast<std::size_t>(s)].log_evidence);
    return pair.log_evidence - alone > std::log(speaks_for_both);
}

/// A pair whose second fault the readings don't see is the first with something harmless beside it. Its share
/// goes to its two faults as they stand alone.
void fold(const WeighedPair& pair, double probability, const std::vector<Evidence>& singles,
          std::vector<double>& shares) {
    const auto a = static_cast<std::size_t>(pair.singles[0]), b = static_cast<std::size_t>(pair.singles[1]);
    const double by = singles[b].log_weight() - singles[a].log_weight();
    const double to_b = 1 / (1 + std::exp(-by));
    shares[a] += (1 - to_b) * probability;
    shares[b] += to_b * probability;
}

Ranked rank(Weighing& w, AtMost faults) {
    const std::vector<Hypothesis> hypotheses = single_faults(*w.network, w.typical_amps, w.typical_volts);
    const Alike alike = alike_of(w, hypotheses);
    std::vector<Evidence> singles = weigh_singles(w, hypotheses, alike);
    if (faults == AtMost::one) // the share that pairs had is theirs
        for (Evidence& e : singles)
            if (!e.hypothesis.faults.empty()) e.hypothesis.log_prior -= std::log1p(-prior_two);
    const Unmodelled unmodelled = weigh_unmodelled(w.measured, best_of(singles.front()).predicted);
    const double broad = std::log(prior_unmodelled) + unmodelled.log_evidence;
    double most = broad;
    for (const Evidence& e : singles) most = std::max(most, e.log_weight());
    double total = std::exp(broad - most);
    for (const Evidence& e : singles) total += std::exp(e.log_weight() - most);
    PairStudy study;
    const bool any = w.measured.value.size() > 0 || !w.measured.told.empty(); // else nothing speaks for two
    if (faults == AtMost::two && any) study = weigh_pairs(w, singles, alike, most + std::log(total));
    for (const WeighedPair& pair : study.weighed) total += std::exp(pair.log_weight() - most);

    std::vector<double> shares;
    shares.reserve(singles.size());
    for (const Evidence& e : singles) shares.push_back(std::exp(e.log_weight() - most) / total);
    std::vector<std::pair<double, Evidence*>> listed;
    std::list<Evidence> pairs;
    for (const WeighedPair& pair : study.weighed) {
        const double probability = std::exp(pair.log_weight() - most) / total;
        if (probability >= worth_listing && both_are_seen(pair, singles)) {
            pairs.push_back(evidence_of(study, pair, hypotheses));
            listed.emplace_back(probability, &pairs.back());
        } else {
            fold(pair, probability, singles, shares);
        }
    }
    for (std::size_t k = 0; k < singles.size(); ++k) listed.emplace_back(shares[k], &singles[k]);
    std::stable_sort(listed.begin(), listed.end(),
                     [](const auto& a, const auto& b) { return a.first > b.first; });

    Ranked r;
    r.unmodelled = std::exp(broad - most) / total;
    r.clash = unmodelled.clash;
    r.too_many_for_pairs = faults == AtMost::two && singles.size() > most_singles_paired;
    for (const auto& [probability, evidence] : listed) {
        r.probability.push_back(probability);
        r.evidence.push_back(std::move(*evidence));
    }
    return r;
}

/// Whether no size of the fault moves any reading by a tenth of what its instrument may err.
bool changes_nothing(const Weighing& w, const Evidence& e, const Predicted& sound) {
    if (e.hypothesis.faults.empty()) return false;
    return std::all_of(e.tried.begin(), e.tried.end(), [&](const Tried& t) {
        if (t.predicted.mean.size() != sound.mean.size()) return false;
        if (t.predicted.told.size() > 0 &&
            (t.predicted.told - sound.told).cwiseAbs().maxCoeff() > unseen_share)
            return false;
        const auto moved = (t.predicted.mean - sound.mean).array().square();
        return (moved < unseen_share * unseen_share * w.measured.variance.array()).all();
    });
}

Suspect suspect_of(const Weighing& w, const Evidence& e, double probability) {
    Suspect s;
    s.probability = probability;
    for (std::size_t k = 0; k < e.hypothesis.faults.size(); ++k) {
        const FaultRange& f = e.hypothesis.faults[k];
        s.faults.push_back({f.part, f.kind, e.sizes[k].middle, e.sizes[k].low, e.sizes[k].high});
    }
    const Tried& best = best_of(e);
    if (best.predicted.mean.size() == 0) return s;
    if (probability < hopeless) { // each reading on its own: nobody asks how far off it is exactly
        const Eigen::ArrayXd variance = w.measured.variance + best.predicted.tolerance.diagonal();
        s.misfit = ((w.measured.value - best.predicted.mean).array().square() / variance).mean();
        return s;
    }
    const Scrutiny look = scrutinise(w.measured, best.predicted);
    s.misfit = look.right > 0 ? look.chi_square / look.right : 0;
    return s;
}

ReadingCheck check_number(Weighing& w, Eigen::Index i, const Scrutiny& look,
                          const std::vector<Fault>& faults) {
    ReadingCheck c;
    c.index = w.weighed[static_cast<std::size_t>(i)];
    c.expected = look.expected[i];
    c.measured = w.measured.value[i];
    c.sigma = look.sigma[i];
    c.deviation = (c.measured - c.expected) / c.sigma;
    c.suspect_reading = look.blunder[i] > 0.5;
    if (!c.suspect_reading) return c;
    if (look.swapped[i] > 0.5 * look.blunder[i])
        c.likely = w.reading(i).quantity == Measurand::current ? "clamp on backwards" : "leads swapped";
    else
        c.likely = slip_of(w, w.reading(i), c, faults);
    return c;
}

/// The number behind a word as its quantity tells it: ohms where it was their logarithm.
double plain_number(Sense sense, double number) {
    return sense == Sense::no_path ? std::exp(number) : number;
}

ReadingCheck check_word(const Weighing& w, std::size_t k, const Scrutiny& look, const Predicted& predicted) {
    const auto row = static_cast<Eigen::Index>(k);
    const Told& told = w.measured.told[k];
    ReadingCheck c;
    c.index = w.told[k];
    c.expected = plain_number(told.sense, predicted.told[row]);
    c.told = told.word;
    c.expected_word = likeliest_word(told.sense, predicted.told[row], predicted.told_variance[row]);
    c.suspect_reading = look.told_blunder[row] > 0.5;
    return c;
}

/// The checks stand as numbers first, then words, each in the order of its rows.
void note_repaired(const Weighing& w, const Predicted& sound, std::vector<ReadingCheck>& checks) {
    const auto numbers = static_cast<std::size_t>(sound.mean.size());
    for (std::size_t k = 0; k < checks.size(); ++k) {
        if (k < numbers) {
            checks[k].repaired = sound.mean[static_cast<Eigen::Index>(k)];
            continue;
        }
        const auto row = static_cast<Eigen::Index>(k - numbers);
        const Sense sense = w.measured.told[k - numbers].sense;
        checks[k].repaired = plain_number(sense, sound.told[row]);
        checks[k].repaired_word = likeliest_word(sense, sound.told[row], sound.told_variance[row]);
    }
}

void check_readings(Weighing& w, const Evidence& leading, const Predicted& sound, Location& found) {
    const Tried& best = best_of(leading);
    if (best.predicted.mean.size() != w.measured.value.size()) return; // no working point
    const Scrutiny look = scrutinise(w.measured, best.predicted);
    const std::vector<Fault> faults = faults_at(leading.hypothesis, best);
    for (Eigen::Index i = 0; i < w.measured.value.size(); ++i)
        found.readings.push_back(check_number(w, i, look, faults));
    for (std::size_t k = 0; k < w.told.size(); ++k)
        found.readings.push_back(check_word(w, k, look, best.predicted));
    note_repaired(w, sound, found.readings);
    std::sort(found.readings.begin(), found.readings.end(),
              [](const ReadingCheck& a, const ReadingCheck& b) { return a.index < b.index; });
    if (look.zero_forgotten > 0.5) found.zero_amps = look.zero_amps;
}

/// Readings that the sound machine would not show, where nothing modelled explains them.
void note_clashes(const Weighing& w, const std::vector<char>& clash, Location& found) {
    const auto clashes = [&](const std::vector<int>& rows, std::size_t first, int index) {
        const auto at = std::find(rows.begin(), rows.end(), index);
        return at != rows.end() && clash[first + static_cast<std::size_t>(at - rows.begin())] != 0;
    };
    for (ReadingCheck& c : found.readings)
        c.clashes = clashes(w.weighed, 0, c.index) || clashes(w.told, w.weighed.size(), c.index);
}

/// Suspects that together with the first reach `sure`, each within a twentieth of it: what the readings can't
/// tell apart. A tie is never cut: what reads as one of them does, or is as probable, belongs to them too.
std::vector<int> group_of(const std::vector<Suspect>& suspects, const std::vector<double>& log_evidence) {
    std::vector<int> group;
    double total = 0;
    for (std::size_t i = 0; i < suspects.size(); ++i) {
        if (suspects[i].unmodelled || suspects[i].probability < suspects.front().probability / 20) continue;
        const bool tied = std::any_of(group.begin(), group.end(), [&](int g) {
            const auto k = static_cast<std::size_t>(g);
            return std::abs(log_evidence[k] - log_evidence[i]) < read_alike ||
                   suspects[i].probability > as_probable * suspects[k].probability;
        });
        if (total >= sure && !tied) continue;
        group.push_back(static_cast<int>(i));
        total += suspects[i].probability;
    }
    return group;
}

/// Of the suspects with this part among their faults.
double on_part(const std::vector<Suspect>& suspects, PartId part) {
    double total = 0;
    for (const Suspect& s : suspects)
        if (std::any_of(s.faults.begin(), s.faults.end(),
                        [&](const FoundFault& f) { return f.part == part; }))
            total += s.probability;
    return total;
}

Verdict verdict_of(const Location& found) {
    const Suspect& first = found.suspects.front();
    const auto flagged = std::count_if(found.readings.begin(), found.readings.end(),
                                       [](const ReadingCheck& c) { return c.suspect_reading; });
    const auto fitted = std::count_if(found.readings.begin(), found.readings.end(),
                                      [](const ReadingCheck& c) { return !c.told && !c.suspect_reading; });
    if (first.unmodelled ||
        chance_of_misfit(first.misfit * static_cast<double>(fitted), static_cast<int>(fitted)) < too_far)
        return Verdict::contradictory;
    if (flagged >= 2 && 3 * flagged > static_cast<std::ptrdiff_t>(found.readings.size()))
        return Verdict::contradictory;
    if (first.faults.empty()) return first.probability >= 0.5 ? Verdict::healthy : Verdict::narrowed;
    const bool all_sure = std::all_of(first.faults.begin(), first.faults.end(), [&](const FoundFault& f) {
        return on_part(found.suspects, f.part) >= sure;
    });
    return all_sure ? Verdict::located : Verdict::narrowed;
}

void note_advice(Weighing& w, const Ranked& ranked, std::size_t unmodelled_at, Location& found) {
    std::vector<Rival> rivals;
    for (std::size_t i = 0; i < ranked.evidence.size() && rivals.size() < most_rivals; ++i)
        if (ranked.probability[i] >= running)
            rivals.push_back({static_cast<int>(i + (i >= unmodelled_at ? 1 : 0)), ranked.probability[i],
                              &ranked.evidence[i]});
    Advice advice = advise(w, rivals);
    found.next = std::move(advice.next);
    if (found.verdict != Verdict::contradictory) found.plan = std::move(advice.plan);
}

} // namespace

std::vector<Fault> faults_of(const Suspect& suspect) {
    std::vector<Fault> faults;
    for (const FoundFault& f : suspect.faults) faults.push_back({f.part, f.kind, f.value});
    return faults;
}

std::optional<int> Outcome::word() const {
    const auto likeliest = std::max_element(says.begin(), says.end());
    if (!(*likeliest > chance_of_number(says))) return std::nullopt;
    return static_cast<int>(likeliest - says.begin());
}

std::string_view name_of(Verdict verdict) {
    switch (verdict) {
    case Verdict::healthy:
        return "healthy";
    case Verdict::located:
        return "located";
    case Verdict::narrowed:
        return "narrowed";
    case Verdict::contradictory:
        return "contradictory";
    }
    return "";
}

Result<Location> locate(const Readings& job, AtMost faults, Advising advising) {
    const Network network = analyse(std::make_shared<const Circuit>(job.circuit));
    Result<Weighing> prepared = prepare(network, job);
    if (!prepared) return prepared.problems();
    Weighing& w = *prepared;
    const Ranked ranked = rank(w, faults);

    Location found;
    std::vector<double> log_evidence;
    const auto sound = std::find_if(ranked.evidence.begin(), ranked.evidence.end(),
                                    [](const Evidence& e) { return e.hypothesis.faults.empty(); });
    for (std::size_t i = 0; i < ranked.evidence.size(); ++i) {
        found.suspects.push_back(suspect_of(w, ranked.evidence[i], ranked.probability[i]));
        found.suspects.back().unseen = changes_nothing(w, ranked.evidence[i], best_of(*sound).predicted);
        log_evidence.push_back(ranked.evidence[i].log_evidence);
    }
    Suspect unmodelled;
    unmodelled.unmodelled = true;
    unmodelled.probability = ranked.unmodelled;
    const auto at =
        std::upper_bound(found.suspects.begin(), found.suspects.end(), unmodelled,
                         [](const Suspect& a, const Suspect& b) { return a.probability > b.probability; });
    const auto unmodelled_at = static_cast<std::size_t>(at - found.suspects.begin());
    found.suspects.insert(at, unmodelled);
    log_evidence.insert(log_evidence.begin() + static_cast<std::ptrdiff_t>(unmodelled_at), 0.0);

    found.too_many_for_pairs = ranked.too_many_for_pairs;
    check_readings(w, ranked.evidence.front(), best_of(*sound).predicted, found);
    if (found.suspects.front().unmodelled) note_clashes(w, ranked.clash, found);
    found.verdict = verdict_of(found);
    found.group = group_of(found.suspects, log_evidence);

    if (advising == Advising::yes) note_advice(w, ranked, unmodelled_at, found);

    auto repaired = predict(network);
    if (!repaired) return repaired.problems();
    found.repaired = std::move(*repaired);
    return found;
}

} // namespace lostvolts

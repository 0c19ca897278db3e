#include "solver/locate/locate.h"

#include <algorithm>
#include <cmath>
#include <memory>
#include <numeric>

#include "solver/locate/advice.h"
#include "solver/locate/slips.h"

namespace lostvolts {
namespace {

constexpr double sure = 0.90;    // a part this probable is located
constexpr double running = 1e-3; // suspects below this don't shape the advice
constexpr std::size_t most_rivals = 32;
constexpr double too_far = 12; // chi-square per reading beyond which nothing fits

struct Ranked {
    std::vector<Evidence> evidence; // by falling probability
    std::vector<double> probability;
    double unmodelled = 0;
};

Ranked rank(Weighing& w) {
    std::vector<Evidence> all;
    double leader = -1e300;
    for (const Hypothesis& h : single_faults(*w.network, w.typical_amps, w.typical_volts)) {
        all.push_back(try_sizes(w, h));
        for (const Tried& t : all.back().tried) leader = std::max(leader, h.log_prior + t.log_likelihood);
    }
    for (Evidence& e : all) {
        refine(w, e, leader);
        for (const Tried& t : e.tried) leader = std::max(leader, e.hypothesis.log_prior + t.log_likelihood);
    }
    const double broad = std::log(prior_unmodelled) + log_broad(w.measured);
    double most = broad;
    for (const Evidence& e : all) most = std::max(most, e.hypothesis.log_prior + e.log_evidence);
    double total = std::exp(broad - most);
    for (const Evidence& e : all) total += std::exp(e.hypothesis.log_prior + e.log_evidence - most);

    Ranked r;
    r.unmodelled = std::exp(broad - most) / total;
    std::stable_sort(all.begin(), all.end(), [](const Evidence& a, const Evidence& b) {
        return a.hypothesis.log_prior + a.log_evidence > b.hypothesis.log_prior + b.log_evidence;
    });
    for (const Evidence& e : all)
        r.probability.push_back(std::exp(e.hypothesis.log_prior + e.log_evidence - most) / total);
    r.evidence = std::move(all);
    return r;
}

Suspect suspect_of(const Weighing& w, const Evidence& e, double probability) {
    Suspect s;
    s.probability = probability;
    for (const FaultRange& f : e.hypothesis.faults)
        s.faults.push_back({f.part, f.kind, e.middle, e.low, e.high});
    const Tried& best = best_of(e);
    if (best.predicted.mean.size() > 0) {
        const Scrutiny look = scrutinise(w.measured, best.predicted);
        s.misfit = look.right > 0 ? look.chi_square / look.right : 0;
    }
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

void check_readings(Weighing& w, const Evidence& leading, Location& found) {
    const Tried& best = best_of(leading);
    if (best.predicted.mean.size() != w.measured.value.size()) return; // no working point
    const Scrutiny look = scrutinise(w.measured, best.predicted);
    const std::vector<Fault> faults = faults_at(leading.hypothesis, best.place);
    for (Eigen::Index i = 0; i < w.measured.value.size(); ++i)
        found.readings.push_back(check_number(w, i, look, faults));
    for (std::size_t k = 0; k < w.told.size(); ++k)
        found.readings.push_back(check_word(w, k, look, best.predicted));
    if (const auto sound = predict_readings(w, {})) note_repaired(w, *sound, found.readings);
    std::sort(found.readings.begin(), found.readings.end(),
              [](const ReadingCheck& a, const ReadingCheck& b) { return a.index < b.index; });
    if (look.zero_forgotten > 0.5) found.zero_amps = look.zero_amps;
}

/// Suspects that together with the first reach `sure`, each within a twentieth of it: what the readings can't
/// tell apart.
std::vector<int> group_of(const std::vector<Suspect>& suspects) {
    std::vector<int> group;
    double total = 0;
    for (std::size_t i = 0; i < suspects.size(); ++i) {
        if (suspects[i].unmodelled || suspects[i].probability < suspects.front().probability / 20) continue;
        group.push_back(static_cast<int>(i));
        total += suspects[i].probability;
        if (total >= sure) break;
    }
    return group;
}

Verdict verdict_of(const Location& found) {
    const Suspect& first = found.suspects.front();
    const auto flagged = std::count_if(found.readings.begin(), found.readings.end(),
                                       [](const ReadingCheck& c) { return c.suspect_reading; });
    if (first.unmodelled || first.misfit > too_far) return Verdict::contradictory;
    if (flagged >= 2 && 3 * flagged > static_cast<std::ptrdiff_t>(found.readings.size()))
        return Verdict::contradictory;
    if (first.faults.empty()) return first.probability >= 0.5 ? Verdict::healthy : Verdict::narrowed;
    double on_part = 0;
    for (const Suspect& s : found.suspects)
        if (!s.faults.empty() && s.faults.front().part == first.faults.front().part) on_part += s.probability;
    return on_part >= sure ? Verdict::located : Verdict::narrowed;
}

} // namespace

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

Result<Location> locate(const Readings& job) {
    const Network network = analyse(std::make_shared<const Circuit>(job.circuit));
    Result<Weighing> prepared = prepare(network, job);
    if (!prepared) return prepared.problems();
    Weighing& w = *prepared;
    const Ranked ranked = rank(w);

    Location found;
    for (std::size_t i = 0; i < ranked.evidence.size(); ++i)
        found.suspects.push_back(suspect_of(w, ranked.evidence[i], ranked.probability[i]));
    Suspect unmodelled;
    unmodelled.unmodelled = true;
    unmodelled.probability = ranked.unmodelled;
    const auto at =
        std::upper_bound(found.suspects.begin(), found.suspects.end(), unmodelled,
                         [](const Suspect& a, const Suspect& b) { return a.probability > b.probability; });
    const auto unmodelled_at = static_cast<std::size_t>(at - found.suspects.begin());
    found.suspects.insert(at, unmodelled);

    check_readings(w, ranked.evidence.front(), found);
    found.verdict = verdict_of(found);
    found.group = group_of(found.suspects);

    std::vector<Rival> rivals;
    for (std::size_t i = 0; i < ranked.evidence.size() && rivals.size() < most_rivals; ++i)
        if (ranked.probability[i] >= running)
            rivals.push_back({static_cast<int>(i + (i >= unmodelled_at ? 1 : 0)), ranked.probability[i],
                              &ranked.evidence[i]});
    Advice advice = advise(w, rivals);
    found.next = std::move(advice.next);
    if (found.verdict != Verdict::contradictory) found.plan = std::move(advice.plan);

    auto repaired = predict(network);
    if (!repaired) return repaired.problems();
    found.repaired = std::move(*repaired);
    return found;
}

} // namespace lostvolts

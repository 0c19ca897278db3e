#include "solver/lesson/telling.h"

#include <algorithm>
#include <cmath>

#include "solver/lesson/meters.h"
#include "solver/locate/advice.h"

namespace lostvolts {
namespace {

constexpr double noticed = 0.05;    // a share of speed or volts that is seen; common practice, no source
constexpr double told_apart = 1;    // in those units: nearer ones nobody tells apart
constexpr double plain_margin = 10; // of the meter's own, where the parts' tolerances are not reckoned
constexpr double least_margin = 3;  // standard deviations between two values that are told apart

double share(double now, double sound) { return std::abs(sound) > 1e-12 ? now / sound : 0; }

double by_clamp(Current<> a, Current<> b) {
    const double larger = std::max(std::abs(si(a)), std::abs(si(b)));
    return (si(a) - si(b)) / class_sigma(Measurand::current, larger);
}

/// A suspect that is known to the last ohm.
Evidence known(const std::vector<Fault>& faults) {
    Evidence e;
    for (const Fault& f : faults) e.hypothesis.faults.push_back({f.part, f.kind, f.size, f.size, 1});
    e.tried.resize(1);
    return e;
}

/// What a reading shows in each condition; nothing when one of them does not tell, or only in a word.
std::optional<std::vector<Outcome>> expected_of(const NextReading& reading, std::size_t suspects) {
    std::vector<Outcome> outcomes;
    for (std::size_t k = 0; k < suspects; ++k)
        for (const Outcome& o : reading.outcomes)
            if (o.suspect == static_cast<int>(k) && !o.word()) outcomes.push_back(o);
    if (outcomes.size() != suspects) return std::nullopt;
    return outcomes;
}

/// How far the first lies from the nearest of the others, in standard deviations of both together: the
/// meter's and the healthy parts' tolerances, by the 90 % intervals.
double margin(const std::vector<Outcome>& outcomes) {
    constexpr double sigmas_of_interval = 2 * 1.645;
    const auto sigma = [](const Outcome& o) { return (o.high - o.low) / sigmas_of_interval; };
    double least = 1e300;
    for (std::size_t k = 1; k < outcomes.size(); ++k)
        least = std::min(least, std::abs(outcomes[0].expect - outcomes[k].expect) /
                                    std::hypot(sigma(outcomes[0]), sigma(outcomes[k])));
    return least;
}

/// Those that a person could take signature k for, the nearest first.
void find_look_alikes(const Stand& stand, const std::vector<Signature>& all, std::size_t k, Telling& t) {
    std::vector<std::pair<double, int>> near;
    for (std::size_t o = 0; o < all.size(); ++o)
        if (o != k && !all[o].trouble)
            near.emplace_back(apart(stand, all.front(), all[k], all[o]), static_cast<int>(o));
    std::stable_sort(near.begin(), near.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    for (const auto& [distance, o] : near)
        if (t.others.empty() || distance < told_apart) t.others.push_back(o);
    t.alike = !near.empty() && near.front().first < told_apart;
}

/// The best of the advised readings.
void find_reading(Weighing& w, const std::vector<Signature>& all, std::size_t k, Telling& t) {
    std::vector<Evidence> evidence{known(all[k].faults)};
    for (const int o : t.others) evidence.push_back(known(all[static_cast<std::size_t>(o)].faults));
    const double each = 0.5 / static_cast<double>(t.others.size());
    std::vector<Rival> rivals;
    for (std::size_t r = 0; r < evidence.size(); ++r)
        rivals.push_back({static_cast<int>(r), r == 0 ? 0.5 : each, &evidence[r]});
    double most = least_margin;
    for (const NextReading& n : advise(w, rivals).next) {
        const auto outcomes = expected_of(n, rivals.size());
        if (!outcomes || margin(*outcomes) <= most) continue;
        most = margin(*outcomes);
        t.reading = n;
        t.here = outcomes->front().expect;
        t.there.clear();
        for (std::size_t o = 1; o < outcomes->size(); ++o) t.there.push_back((*outcomes)[o].expect);
    }
}

/// Where none was advised, for its minutes: the volts across the load or a faulty part, running.
void find_plain_reading(const Stand& stand, const std::vector<Signature>& all, std::size_t k, Telling& t) {
    if (stand.run >= stand.drawn_states) return;
    std::vector<PartId> parts{stand.load};
    for (const Fault& f : all[k].faults) parts.push_back(f.part);
    double most = plain_margin;
    for (const PartId p : parts) {
        const Part& part = stand.part(p);
        const auto volts = [&](const Signature& s) {
            return si(volts_at(s.run, part.from) - volts_at(s.run, part.to));
        };
        const double here = volts(all[k]);
        std::vector<double> there;
        double least = 1e300;
        for (const int o : t.others) {
            there.push_back(volts(all[static_cast<std::size_t>(o)]));
            const double larger = std::max(std::abs(here), std::abs(there.back()));
            least = std::min(least, std::abs(here - there.back()) / class_sigma(Measurand::voltage, larger));
        }
        if (least <= most) continue;
        most = least;
        NextReading n;
        n.state = stand.run;
        n.red = part.from;
        n.black = part.to;
        const Circuit& c = *stand.circuit;
        Readings nothing_read;
        nothing_read.circuit = c;
        n.minutes =
            minutes_to_take(c, standing_of(nothing_read), {n.state, n.quantity, n.red, n.black, none});
        t.reading = n;
        t.here = here;
        t.there = std::move(there);
    }
}

} // namespace

double apart(const Stand& stand, const Signature& healthy, const Signature& a, const Signature& b) {
    double sum = 0;
    const auto add = [&](double d) { sum += d * d; };
    if (stand.turns()) {
        const double sound = si(*healthy.speed);
        add((share(si(*a.speed), sound) - share(si(*b.speed), sound)) / noticed);
        add(by_clamp(*a.stall_current, *b.stall_current));
    } else {
        const double sound = si(healthy.across);
        add((share(si(a.across), sound) - share(si(b.across), sound)) / noticed);
    }
    add(by_clamp(a.run_current, b.run_current));
    return std::sqrt(sum);
}

std::vector<Telling> tellings(const Stand& stand, const std::vector<Signature>& signatures) {
    std::vector<Telling> all(signatures.size());
    // Advice walks the states of the drawing itself: those that the stand added are for reckoning only.
    Readings job;
    job.circuit = *stand.circuit;
    job.circuit.states.resize(static_cast<std::size_t>(stand.drawn_states));
    for (const Measurand m : {Measurand::voltage, Measurand::current, Measurand::speed})
        job.meters.push_back(class_meter(m));
    const Network network = analyse(std::make_shared<const Circuit>(job.circuit));
    auto weighing = prepare(network, job);
    for (std::size_t k = 0; k < signatures.size(); ++k) {
        if (signatures[k].trouble) continue;
        find_look_alikes(stand, signatures, k, all[k]);
        if (weighing && !all[k].others.empty()) find_reading(*weighing, signatures, k, all[k]);
        if (!all[k].reading && !all[k].others.empty()) find_plain_reading(stand, signatures, k, all[k]);
    }
    return all;
}

} // namespace lostvolts

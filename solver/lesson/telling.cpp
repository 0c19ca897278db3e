#include "solver/lesson/telling.h"

#include <cmath>

#include "solver/lesson/meters.h"
#include "solver/locate/advice.h"

namespace lostvolts {
namespace {

constexpr double noticed = 0.05; // a share of speed or volts that is seen; common practice, no source

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

std::optional<double> expected_of(const NextReading& reading, int suspect) {
    for (const Outcome& o : reading.outcomes)
        if (o.suspect == suspect) return o.expect;
    return std::nullopt;
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
        double least = 0;
        for (std::size_t o = 0; o < signatures.size(); ++o) {
            if (o == k || signatures[o].trouble) continue;
            const double d = apart(stand, signatures.front(), signatures[k], signatures[o]);
            if (all[k].other == none || d < least) least = d, all[k].other = static_cast<int>(o);
        }
        if (all[k].other == none || !weighing) continue;
        const Evidence here = known(signatures[k].faults),
                       there = known(signatures[static_cast<std::size_t>(all[k].other)].faults);
        const std::vector<NextReading> next = advise(*weighing, {{0, 0.5, &here}, {1, 0.5, &there}}).next;
        if (next.empty()) continue;
        const auto a = expected_of(next.front(), 0), b = expected_of(next.front(), 1);
        if (!a || !b) continue;
        all[k].reading = next.front();
        all[k].here = *a;
        all[k].there = *b;
    }
    return all;
}

} // namespace lostvolts

#include "viewer/command/size_start.h"

#include <algorithm>
#include <cmath>

#include "solver/spinup/spinup.h"

namespace lostvolts {
namespace {

constexpr double start_seconds = 2.0;
constexpr double sample_seconds = 0.5e-3;

bool starts_a_motor(const StatePrediction& s) {
    return std::any_of(s.motors.begin(), s.motors.end(), [](const MotorResult& m) {
        return std::abs(si(m.current)) > 1e-6 && si(m.speed) != 0;
    });
}

StartCurrent start_of(const std::vector<double>& seconds, const std::vector<double>& amps) {
    StartCurrent start;
    for (std::size_t k = 0; k < seconds.size(); ++k) {
        start.samples.push_back({seconds[k], std::abs(amps[k])});
        start.peak = std::max(start.peak, from_si<Current<>>(std::abs(amps[k])));
    }
    if (!amps.empty()) start.run = from_si<Current<>>(std::abs(amps.back()));
    return start;
}

} // namespace

std::map<PartId, StartCurrent> simulated_starts(const Circuit& circuit, const Sizing& sizing) {
    std::map<PartId, StartCurrent> starts;
    const Network network = analyse(std::make_shared<const Circuit>(with_sizes(circuit, sizing)));
    for (const StatePrediction& s : sizing.states) {
        if (!circuit.states[static_cast<std::size_t>(s.state)].locked.empty() || !starts_a_motor(s)) continue;
        SpinUpRequest request;
        request.state = s.state;
        request.duration = from_si<Time<>>(start_seconds);
        request.every = from_si<Time<>>(sample_seconds);
        request.ripple = false; // a fuse heats by the mean of its square; the ripple's own share is small
        request.account = false;
        for (const SizedFuse& f : sizing.fuses) {
            Probe clamp;
            clamp.kind = ProbeKind::current;
            clamp.through = f.part;
            request.probes.push_back(clamp);
        }
        if (request.probes.empty()) return starts;
        const auto run = spin_up(network, request);
        if (!run) continue;
        for (std::size_t k = 0; k < sizing.fuses.size(); ++k) {
            const SizedFuse& f = sizing.fuses[k];
            const StartCurrent start = start_of(run->seconds, run->columns[k]);
            const auto known = starts.find(f.part);
            if (known == starts.end() || start_use(start, f.rating) > start_use(known->second, f.rating))
                starts[f.part] = start;
        }
    }
    return starts;
}

} // namespace lostvolts

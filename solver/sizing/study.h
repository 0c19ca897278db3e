// How far a harness strays: every part within its tolerance, the surroundings' temperature, the battery's
// charge and its age drawn at random, many times over; the worst corner of them all; and which of them
// matters most. A sample depends on the seed and its own number only, so the answer is the same whatever the
// number of threads.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "solver/network/predict.h"

namespace lostvolts {

struct StudyRequest {
    int state = 0;
    PartId load = none; ///< whose lost volts are studied; none: the load that loses most
    long samples = 10'000;
    std::uint64_t seed = 1;
    int threads = 1;
    Voltage<> limit{};                                           ///< of the lost volts
    Temperature<> coldest = celsius(-10), warmest = celsius(50); ///< uniform between
    double least_charge = 0.5, most_charge = 1.0;                ///< uniform; batteries
    double most_ageing = 2.0; ///< a source's resistance, uniform from as drawn to this many times
};

struct StraySpread {
    double p50 = 0, p95 = 0, p99 = 0, max = 0, mean = 0, deviation = 0;
};

struct Influence {
    PartId part = none;       ///< none: the surroundings, the charge or the age
    std::string number;       ///< "resistance", "temperature"
    double per_deviation = 0; ///< volts lost more when it grows by one standard deviation
    double share = 0;         ///< of the variance
};

struct ToleranceStudy {
    StudyRequest request;
    long solved = 0;         ///< samples with a working point
    StraySpread drop;        ///< volts lost
    StraySpread at_load;     ///< volts across the load (its p95 and p99 are of the low side)
    double within_limit = 0; ///< share of samples
    double worst_case_drop =
        0; ///< corner search: every number at its edge (1.96 deviations, or its range's end)
    double worst_case_at_load = 0;
    int corner_rounds = 0;
    std::vector<Influence> influences; ///< the greatest first
};

/// Problems: no load carries current in the state, no working point of the circuit as drawn.
Result<ToleranceStudy> study_tolerances(const Network& network, const StudyRequest& request);

} // namespace lostvolts

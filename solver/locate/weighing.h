// The readings set against the network: which probe stands where in which state, and what a set of faults
// says of all of them at once. Built once per job; asked hundreds of times.
#pragma once

#include <optional>

#include "solver/locate/likelihood.h"
#include "solver/locate/readings.h"
#include "solver/locate/suspects.h"
#include "solver/network/measure.h"

namespace lostvolts {

/// One state that somebody measured in.
struct MeasuredState {
    Setup healthy;
    std::vector<Probe> probes;
    std::vector<int> rows; ///< per probe: which of the weighed readings it is
};

struct Weighing {
    const Network* network = nullptr;
    const Readings* job = nullptr;
    std::vector<MeasuredState> states;
    std::vector<int> weighed; ///< which of the job's readings are weighed: row → index
    Measured measured;
    std::vector<double> deviations;                  ///< per number of the network: of a healthy part
    double supply_volts = 0;                         ///< the largest between any two points, healthy
    std::vector<double> typical_amps, typical_volts; ///< per part, the most over all the states, healthy
    Workspace work;
    Operating at;
    std::vector<double> slopes;

    const Reading& reading(Eigen::Index row) const {
        return job->readings[static_cast<std::size_t>(weighed[static_cast<std::size_t>(row)])];
    }
};

/// Volts, amperes and speeds are weighed; what a lamp, an ear or an ohmmeter says is not, so far.
bool is_weighed(Measurand quantity);

/// The usual instrument for a quantity when the readings name none. Common practice, no source: clamp 2 % + 5
/// counts, tachometer 0.5 % + 1 count, multimeter 0.5 % + 2 counts.
Accuracy usual_accuracy(Measurand quantity);

/// Standard deviation of an instrument's error: its accuracy is a half-width, taken as evenly likely
/// throughout (JCGM 100, 4.3.7: a/√3), with the last digit's rounding (its width/√12) beside it.
double instrument_sigma(const Accuracy& accuracy, double resolution, double value);

/// A Problem when the healthy circuit itself has no working point in some state.
Result<Weighing> prepare(const Network& network, const Readings& job);

/// The probe of one reading.
Probe probe_of(const Readings& job, const Reading& reading);

/// What these faults say of every reading; nothing when the circuit then has no working point (relays that
/// chatter). `spread` (rows × numbers with a tolerance), if wanted, gets J·√Σ, whose square is the tolerance
/// part.
std::optional<Predicted> predict_readings(Weighing& w, const std::vector<Fault>& faults,
                                          Eigen::MatrixXd* spread = nullptr);

/// Deviations of every number with these faults in: a faulty part's numbers stray in proportion to what they
/// now are.
std::vector<double> deviations_with(const Weighing& w, const std::vector<Fault>& faults);

/// Which numbers stray at all: those with a deviation above zero.
std::vector<std::size_t> straying_numbers(const std::vector<double>& deviations);

} // namespace lostvolts

// The readings set against the network: which probe stands where in which state, and what a set of faults
// says of all of them at once. Built once per job; asked hundreds of times.
#pragma once

#include <optional>

#include "solver/locate/instruments.h"
#include "solver/locate/likelihood.h"
#include "solver/locate/suspects.h"
#include "solver/network/dead.h"
#include "solver/network/sound_state.h"

namespace lostvolts {

/// What becomes of an instrument's number before a reading, or a word, is held against it.
struct Scaling {
    bool told = false; ///< it stands behind a word
    bool dead = false; ///< it is an ohmmeter's
    double scale = 1;  ///< alive: the number is taken times this
    double added = 0;  ///< dead: and this more, its leads
    double operator()(double number) const;
};
/// What a reading in ohms is held against when no path is there.
inline constexpr double no_path_ohms = 1e9;

/// How a reading is taken and weighed.
struct Hookup {
    Probe probe;                ///< alive; a dead circuit has no instrument in it but its two leads
    std::optional<Sense> sense; ///< told in words
    Scaling scaling;
};

/// Where an instrument's number goes: to a reading that is a number, or behind a word.
struct ReadingRow {
    Eigen::Index index = 0;
    Scaling scaling;
};

/// One state that somebody measured in, alive or dead.
struct MeasuredState {
    int state = 0;
    Setup healthy; ///< alive; a dead one is set up anew, for relays let go by what the faults leave
    bool dead = false;
    std::optional<SoundState> sound; ///< alive: from which what faults make of it is quickly told
    std::vector<Probe> probes;       ///< alive
    std::vector<Leads> leads;        ///< dead
    std::vector<ReadingRow> rows;    ///< per probe or pair of leads
};

struct Weighing {
    const Network* network = nullptr;
    const Readings* job = nullptr;
    std::vector<MeasuredState> states;
    std::vector<int> weighed; ///< the readings that are numbers: row → index in the job
    std::vector<int> told;    ///< those told in words: row → index in the job
    Measured measured;
    StrayingNumbers strays;                          ///< the numbers that aren't known exactly
    double supply_volts = 0;                         ///< the largest between any two points, healthy
    std::vector<double> typical_amps, typical_volts; ///< per part, the most over all the states, healthy
    std::vector<double> typical_speeds;              ///< rad/s, motors
    std::vector<double> source_amps; ///< per state, the most that any source gives or takes, healthy
    Workspace work;
    Operating at;
    std::vector<double> slopes, values, moved;

    const Reading& reading(Eigen::Index row) const {
        return job->readings[static_cast<std::size_t>(weighed[static_cast<std::size_t>(row)])];
    }
};

/// A Problem when the healthy circuit itself has no working point in some state.
Result<Weighing> prepare(const Network& network, const Readings& job);

/// Of a reading that was taken, or of one that may be.
Hookup hookup_of(const Weighing& w, const Reading& reading);

/// What these faults say of every reading. A reading taken while a faulty part was wiggled may lie anywhere
/// between what the part reads sound and wide open. Nothing when the circuit then has no working point
/// (relays that chatter). `spread` (rows × numbers with a tolerance), if wanted, gets J·√Σ, whose square is
/// the tolerance part.
std::optional<Predicted> predict_readings(Weighing& w, const std::vector<Fault>& faults,
                                          Eigen::MatrixXd* spread = nullptr);

/// The same with no more than a bound on every reading's own tolerance, at a cost that grows little with the
/// circuit. Where a part was wiggled, exact.
std::optional<Predicted> bound_readings(Weighing& w, const std::vector<Fault>& faults);

/// Deviations of every number with these faults in: a faulty part's numbers stray in proportion to what they
/// now are.
std::vector<double> deviations_with(const Weighing& w, const std::vector<Fault>& faults);

/// Which numbers stray at all: those with a deviation above zero.
std::vector<std::size_t> straying_numbers(const std::vector<double>& deviations);

} // namespace lostvolts

// A random job for `locate` with a known answer: a harness, what is wrong with it, the true numbers of its
// parts, somebody's meters and what they showed.
//
// Nothing is linearised and nothing is taken from the likelihood that is being judged. The truth is drawn as
// the documents say (solver/locate/suspects.h, solver/parts/fault.h): healthy or not modelled by their
// shares, else a fault by the odds, its size even over its range. Every number of every part strays as a
// normal with half its tolerance (DEVELOPERS.md, Tolerances), never below a twentieth of its value. The
// readings are the nonlinear network's with those numbers, a meter's error evenly likely throughout its
// accuracy, rounded to its last digit.
#pragma once

#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "solver/locate/readings.h"
#include "solver/locate/suspects.h"
#include "solver/network/dead.h"
#include "solver/network/measure.h"
#include "tests/network/random_harness.h"

namespace lostvolts::testing {

enum class Truth { healthy, fault, unmodelled };

/// Mistakes in taking readings.
enum class Blunders {
    none,
    as_modelled, ///< by the model's share: leads swapped, or anything within the instrument's span
    wrong_state, ///< by the same share: taken in another state than written down
    zero,        ///< a clamp in one job of five was not set to zero: all its readings are off alike
};

/// How a meter errs within its accuracy. Of the per cent all readings of one meter on one range may have a
/// part in common (solver/locate/instruments.h).
enum class MeterErrors {
    even,          ///< anything within is as likely, each reading by itself
    normal,        ///< normal with the same standard deviation, each reading by itself
    shared,        ///< even, the per cent's variance split between gain and reading as the documents take it
    shared_normal, ///< the same, normal: what the likelihood makes of it
    one_gain,      ///< even, and the per cent are one gain throughout
};

struct JobRequest {
    Family family = Family::series;
    int size = 20;
    int readings = 6;
    Truth truth = Truth::fault;
    Blunders blunders = Blunders::as_modelled;
    MeterErrors errors = MeterErrors::even;
};

/// A machine with its true numbers: what any instrument shows on it.
class Machine {
  public:
    /// `drawn` is the circuit as drawn. Where the machine differs from its drawing (truth not modelled), it
    /// has a network of its own with the same points and parts, and perhaps one part more.
    Machine(const Circuit& drawn, std::vector<Fault> faults, bool unlike_its_drawing, Random& random);

    /// Exact, without any meter's error; nothing when this state has no working point.
    std::optional<double> show(int state, const Probe& probe);
    /// The same between two leads with every source off; infinite where there is no path.
    std::optional<double> show_ohms(int state, const Leads& leads);
    const Network& network() const { return network_; }
    /// The gain of a meter on one range, −1 … 1 or standard normal: drawn when first asked for.
    double gain(int meter, double resolution, bool normally, Random& random);

  private:
    struct Solved {
        bool tried = false, works = false;
        Setup setup;
        Operating at;
    };
    Solved& solved(int state);

    Network network_;
    std::vector<Fault> faults_;
    std::vector<double> strays_; // per number: deviate, standard normal
    std::vector<Solved> states_;
    std::map<std::pair<int, double>, double> gains_;
    Workspace work_;
};

/// A state of a machine whose every number strays by so many of its deviations, one deviate a number.
Setup strayed(const Network& network, int state, const std::vector<Fault>& faults,
              const std::vector<double>& strays);

struct RandomJob {
    Readings readings;
    Truth truth = Truth::healthy;
    std::optional<FaultRange> range; ///< of the true fault
    double size = 0;
    int blundered = 0; ///< how many readings are
};

/// Draws again whatever can't be: a machine without a working point in a state it is measured in.
RandomJob random_job(Random& random, const JobRequest& request);

/// The share of each truth, as `locate` takes it beforehand.
Truth random_truth(Random& random);

/// Takes one reading: meter error and rounding, no blunder. Nothing when the state has no working point.
std::optional<Reading> take(Machine& machine, const Readings& job, Reading where, Random& random,
                            MeterErrors errors = MeterErrors::even);

/// The same instrument on the same place in the same state, leads either way.
bool same_place(const Reading& a, const Reading& b);

/// The meters of one person: a multimeter, a clamp and a tachometer of some accuracy.
std::vector<Meter> random_meters(Random& random);

/// A fault by the odds, with its size; the ranges are those of the drawing (suspects.h).
struct DrawnFault {
    FaultRange range;
    double size = 0;
};
DrawnFault random_fault(Random& random, const Circuit& circuit);

} // namespace lostvolts::testing

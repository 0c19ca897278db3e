// From readings to the bad connection: which part, how sure, how large the fault, what to measure next.
//
// A suspect is a hypothesis: nothing wrong, one fault, or two at once (pairs.h). Its evidence is the
// probability of the readings under it, with the size of the fault integrated over its range, the healthy
// parts' tolerances and the meters' errors in one covariance, and a share for each reading to be a blunder.
// Prior odds are those of the parts' kinds. See likelihood.h for the mathematics.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "solver/locate/readings.h"
#include "solver/locate/told.h"
#include "solver/network/predict.h"

namespace lostvolts {

enum class Verdict { healthy, located, narrowed, contradictory };
std::string_view name_of(Verdict verdict);

/// A fault with the size that the readings give it: the middle and the 90 % interval (SI: ohms or a share).
struct FoundFault {
    PartId part = none;
    FaultKind kind = FaultKind::high_resistance;
    double value = 0, low = 0, high = 0; ///< 0 where the kind has no size
};

/// One fault, or two at once. One fault stands for it alone and for it with another beside it that these
/// readings don't see; two are told only where the readings speak for both.
struct Suspect {
    double probability = 0;
    bool unmodelled =
        false;           ///< "something not modelled": no circuit of this drawing with two faults reads so
    bool unseen = false; ///< a fault that moves none of these readings: they neither show nor clear it
    std::vector<FoundFault> faults; ///< empty: healthy (or unmodelled)
    double misfit = 0;              ///< chi-square per reading at its best size
};

/// Its faults at their middle sizes.
std::vector<Fault> faults_of(const Suspect& suspect);

/// One reading against the leading suspect; SI. Of a reading told in words the numbers are those behind it:
/// share of the lamp's rated volts, share of the motor's usual speed, ohms.
struct ReadingCheck {
    int index = 0;
    double expected = 0, measured = 0, sigma = 0;
    double deviation = 0;         ///< (measured − expected)/sigma, the other readings known
    bool suspect_reading = false; ///< more likely a blunder than not
    bool clashes = false;         ///< something not modelled leads, and it has nothing to do with the drawing
    std::string likely;           ///< what the blunder looks like: "leads swapped", or empty
    double repaired = 0;          ///< what a sound circuit reads there
    std::optional<int>
        told{}; ///< the word, for a reading told in words, and those likeliest now and repaired
    std::optional<int> expected_word{}, repaired_word{};
};

/// What one suspect says a reading will be: the 90 % interval.
struct Outcome {
    int suspect = 0; ///< index into Location::suspects
    double expect = 0, low = 0, high = 0;
    /// The chance of each word; what they leave is that of a number (a resistance has one word, "open").
    /// Where there are only words the numbers above are those behind them, as in ReadingCheck.
    Chances says{};
    std::optional<int> word() const; ///< the likeliest word; nothing where a number is likelier
};

struct NextReading {
    int state = 0;
    Measurand quantity = Measurand::voltage;
    PointId red = none, black = none;
    PartId through = none;
    double bits = 0;    ///< expected information about which suspect is right
    double minutes = 0; ///< to take it: getting at the points, changing the state
    std::vector<Outcome> outcomes;
    int meter = none; ///< lamp, resistance: index into Readings::meters; none: the usual one
};

/// One way that a reading of the plan may turn out, and what follows.
struct PlanOutcome {
    double probability = 0;               ///< once its step is reached; those of a step sum to 1
    double expect = 0, low = 0, high = 0; ///< middle and 90 % of it; a step's outcomes in numbers lie apart
    struct Share {
        int suspect = 0; ///< index into Location::suspects
        double probability = 0;
    };
    std::vector<Share> suspects; ///< who is left, likeliest first: those of 2 % and more
    std::vector<int> cleared;    ///< who had a real chance until now and has none
    bool settled = false;        ///< one part, or nothing wrong, has 95 %
    PartId mend = none;          ///< settled: this part; none: nothing is wrong
    int next = none;             ///< index into Plan::steps; none: settled, rare, or nothing tells more
    std::vector<int> words{};    ///< it is one of these words instead of a number
};

struct PlanStep {
    NextReading reading;               ///< its bits: about which part to mend; its `outcomes` stay empty
    int depth = 0;                     ///< 0 for the first reading, at most 2
    double probability = 0;            ///< that the plan comes to it
    std::vector<PlanOutcome> outcomes; ///< by rising value; words behind numbers
};

/// Up to three readings, the second and third chosen by what the ones before have shown.
struct Plan {
    std::vector<PlanStep>
        steps;          ///< the first reading first; empty when settled already or nothing tells more
    double minutes = 0; ///< expected, of the readings in it
    double bits = 0;    ///< expected, about which part to mend
    double settled = 0; ///< probability that it ends settled
};

struct Location {
    Verdict verdict = Verdict::narrowed;
    std::vector<Suspect> suspects; ///< by falling probability; they sum to 1
    std::vector<ReadingCheck> readings;
    double zero_amps = 0; ///< how much too high a clamp whose zero was forgotten reads; 0: its zero is good
    std::vector<NextReading> next; ///< best first, at most a handful; empty when nothing would tell more
    Plan plan;                     ///< its first reading is the first of `next`
    std::vector<StatePrediction> repaired; ///< what every state reads once the leading fault is mended
    std::vector<int> group;                ///< suspects that these readings can't tell from the first
    bool too_many_for_pairs = false;       ///< so many parts that only single faults were weighed
};

/// How many faults a machine may have. With one, pairs are not weighed: quicker, and blind to a second.
enum class AtMost { one, two };

/// Whether the next readings are worked out too. Without, `next` and `plan` stay empty: for those who only
/// want to know what it is.
enum class Advising { no, yes };

/// Weighs every single fault of every part, and every pair of them, against the readings.
Result<Location> locate(const Readings& readings, AtMost faults = AtMost::two,
                        Advising advising = Advising::yes);

} // namespace lostvolts

// How well `locate` keeps its word, over many jobs with known answers: how often its first suspect is right,
// whether "90 %" is right nine times in ten, whether its intervals hold the true size as often as they say.
#pragma once

#include <string>
#include <vector>

#include "solver/locate/locate.h"
#include "tests/locate/random_job.h"

namespace lostvolts::testing {

/// One job, judged.
struct Judged {
    Family family = Family::series;
    Truth truth = Truth::healthy;
    int parts = 0, readings = 0, blundered = 0;
    std::optional<FaultKind> kind; ///< of the true fault
    double first = 0;              ///< probability of the first suspect
    bool right = false;            ///< the first suspect is the truth: part and kind
    bool among_three = false;
    double of_truth = 0;   ///< probability given to the truth
    double of_part = 0;    ///< … to any fault of the true part
    double unmodelled = 0; ///< … to something not modelled
    double brier = 0;      ///< sum over the suspects of (probability − truth)², 0 … 2
    double brier_if_right = 0, brier_variance = 0; ///< what that is if the probabilities are exactly right
    Verdict verdict = Verdict::narrowed;
    double surest_part = 0;      ///< the most that any one part is given
    int dismissed = 0;           ///< readings that the answer names as likely wrong
    std::optional<double> below; ///< share of the posterior over size that lies below the true size
    double width = 0;            ///< of its 90 % interval, as a share of the fault's range
};
Judged judge(const RandomJob& job, Family family);

/// Whether the answer admits that it may be none of the faults it knows: not modelled first, contradictory,
/// or no part with 90 %.
bool admits(const Judged& judged);

/// A share of so many, with its binomial standard error.
struct Share {
    double share = 0, error = 0;
    int of = 0;
};
Share share_of(int hits, int of);

/// One bin of a reliability table: what was said, and what came true.
struct Bin {
    int count = 0, hits = 0;
    double said = 0; ///< mean probability
};

struct Calibration {
    int jobs = 0;
    Share first, three;
    double brier = 0, brier_error = 0;
    std::vector<Bin> bins;         ///< of the first suspect's probability, ten of equal width
    double expected_error = 0;     ///< expected calibration error, over those bins
    double expected_by_chance = 0; ///< what it would be, on average, for probabilities that are exactly right
    Share sure;                    ///< first suspects with 95 % or more that are right
    double sure_said = 0;          ///< their mean probability
    Share inside_50, inside_90;    ///< true sizes inside the intervals
    Share narrowed_inside_50, narrowed_inside_90; ///< where the readings left less than half of the range
};
Calibration calibration_of(const std::vector<const Judged*>& judged);

} // namespace lostvolts::testing

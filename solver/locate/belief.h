// What is believed while a plan is made: weights on possible machines, what a reading's outcome does to them,
// and how an outcome is told. Inside this room only.
#pragma once

#include <vector>

#include "solver/locate/locate.h"
#include "solver/locate/outlook.h"
#include "solver/locate/scale.h"

namespace lostvolts {

/// What a plan is made from.
struct PlanGround {
    const Circuit* circuit = nullptr;
    Standing standing;
    std::vector<Prospect> prospects;
    std::vector<Possible> machines;
    std::vector<int> suspects;                 ///< per rival: its index among the suspects
    std::vector<std::vector<PartId>> at_fault; ///< per rival: the parts; none when nothing is wrong
};

inline constexpr double settled_at = 0.95;

/// Which machines are still possible, by index into PlanGround::machines.
struct Belief {
    std::vector<int> machines;
    std::vector<double> weight; ///< summing to 1
};

/// The ground with every prospect's scale cut and the rivals sorted into classes: those with the same parts
/// at fault are one, since between them nobody needs to choose before opening the part.
struct Prognosis {
    const PlanGround* ground = nullptr;
    std::vector<Scale> scales; ///< per prospect
    std::vector<int> class_of; ///< per rival
    std::size_t classes = 0;

    std::size_t rival(int machine) const {
        return static_cast<std::size_t>(ground->machines[static_cast<std::size_t>(machine)].rival);
    }
};
Prognosis prognosis_of(const PlanGround& ground);

/// Before any of the plan's readings; no machines when none has weight.
Belief first_belief(const PlanGround& ground);

/// What is unknown of the class, bits.
double entropy(const Prognosis& on, const Belief& belief);

/// The part that has most; none stands for "nothing wrong".
struct Surest {
    PartId part = none;
    double probability = 0;
    bool settled() const { return probability >= settled_at; }
};
Surest surest(const Prognosis& on, const Belief& belief);

/// Probability of class and stretch together, class by stretch.
void tabulate(const Prognosis& on, const Belief& belief, int prospect, std::vector<double>& table);

/// Once the reading has fallen into the band.
Belief after(const Prognosis& on, const Belief& belief, int prospect, Band band);

/// How that is told; `before` is what was believed when the reading was chosen.
PlanOutcome outcome_of(const Prognosis& on, const Belief& before, const Belief& after, int prospect,
                       Band band, double probability);

} // namespace lostvolts

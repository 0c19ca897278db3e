// What is usual for a circuit: the middle and the spread of what its good jobs measured, and whether a new
// capture or set of readings lies within it. Both are robust: a bad job among them that was called good moves
// them little, and is named.
//   middle  the median;  spread  1.4826 · median |x − middle|, the standard deviation of a normal
//   distribution (P. J. Rousseeuw, C. Croux, "Alternatives to the median absolute deviation", JASA 88, 1993;
//   from memory)
#pragma once

#include <filesystem>
#include <vector>

#include "solver/records/records.h"

namespace lostvolts {

struct Usual {
    std::string what, where;                            ///< as in KeptFigure
    double middle = 0, spread = 0, least = 0, most = 0; ///< SI
    std::size_t jobs = 0;
    double low = 0, high = 0; ///< a further good one lies between in 99 of 100; equal when there are too few
    std::vector<FigureOfJob> odd; ///< good jobs more than twice as far off as the others allow
};

struct Baseline {
    std::vector<Usual> usual; ///< in the order of figure_kinds(), then by place
    std::size_t good_jobs = 0;
    Problems remarks; ///< what find_jobs() remarks
};

/// Of the kept good jobs on this drawing. `leave_out`: a job that is held against the others.
Result<Baseline> baseline_of(const std::filesystem::path& store, const std::string& drawing,
                             const std::string& leave_out = {});

/// With fewer good jobs nothing is called unusual: the spread of three says next to nothing of the fourth.
inline constexpr std::size_t fewest_good_jobs = 4;

/// The usual range of figures from as many jobs. `what` sets the least spread that instruments allow.
Usual usual_of(const std::string& what, const std::vector<double>& values);

enum class Judgement { usual, low, high, unknown };
struct Judged {
    KeptFigure figure;
    const Usual* usual = nullptr; ///< in the baseline; nullptr: no good job measured this
    Judgement judgement = Judgement::unknown;
    double spreads = 0; ///< (value − middle)/spread
};
std::vector<Judged> judge(const std::vector<KeptFigure>& figures, const Baseline& baseline);

} // namespace lostvolts

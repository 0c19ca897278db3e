// What every rival suspect foretells of every reading that could be taken: the ground on which one reading is
// preferred to another.
#pragma once

#include <vector>

#include "solver/locate/information.h"
#include "solver/locate/scenes.h"

namespace lostvolts {

class DanglingPoints; // reading_checks.h

/// A suspect still in the running.
struct Rival {
    int suspect = 0; ///< its index among the suspects
    double probability = 0;
    const Evidence* evidence = nullptr;
};

struct Outlook {
    const Readings* job = nullptr;
    std::vector<Rival> rivals;
    Toolbox tools;
    Standing standing;
    Reach reach;
    std::vector<std::vector<Scene>> scenes; ///< per rival, by rising size
};

Outlook look_out(Weighing& w, const std::vector<Rival>& rivals);

/// Every reading of volts or of a part that makes sense and was not taken: two points or a part with a meter
/// for it, in a state in which both are there. What lamp and ohmmeter are for is worth_asking.h's.
std::vector<Prospect> prospects(const Outlook& outlook);

/// The points that leads may go on in a state: some part touches them.
std::vector<PointId> points_in(const Outlook& outlook, DanglingPoints& dangling, int state);
/// Whether the same has been read before, lead for lead or turned round.
bool taken(const Readings& job, const Prospect& prospect);

/// What the rivals foretell of one prospect, the meter's own error in.
std::vector<Bell> bells_of(const Outlook& outlook, const Prospect& prospect);

/// One machine that it may be: a rival, a size, healthy parts' numbers. What it would show at each prospect,
/// and how blurred.
struct Possible {
    int rival = 0;
    double weight = 0;
    std::vector<double> value, sigma; ///< per prospect; sigma is infinite where it has no working point
    std::vector<Chances> says;        ///< per prospect: of each word instead of a number
};
std::vector<Possible> possible_machines(const Outlook& outlook, const std::vector<Prospect>& prospects);

} // namespace lostvolts

// A technician with a meter, a clamp, a test lamp and a complaint, who takes one reading after another until
// a suspect, or a group that no reading here could split, has 95 %.
//
// Whatever the way of choosing, `locate` weighs the readings and says when it is enough; only the choice of
// the next reading differs. Minutes are those that the program's own advice counts (solver/locate/effort.h).
#pragma once

#include "solver/locate/locate.h"
#include "tests/locate/random_job.h"

namespace lostvolts::testing {

enum class Probing {
    advice,            ///< the program's first next reading, of whatever kind
    volts_and_amperes, ///< the first of them that is volts or amperes: what is gained by lamp, ohms and ears
    half_split, ///< halves the path through the load complained of, then the drops and currents that are left
    random,     ///< any reading
};

/// A machine with a fault that its user notices: a load in the first state that takes a tenth more or less
/// power than it should.
struct Complaint {
    Circuit circuit;
    DrawnFault fault;
    std::uint64_t numbers = 0; ///< seed of the machine's true numbers
    PartId load = none;        ///< the one that strays most
};
Complaint random_complaint(Random& random, Family family, int size);

struct Search {
    bool settled = false; ///< 95 % reached
    bool right = false;   ///< … and the truth is that suspect, or in that group
    int readings = 0;
    double minutes = 0;        ///< all of them
    double chosen_minutes = 0; ///< those after the first reading, which is given
};
/// Every search starts with the volts across the load complained of.
Search search(const Complaint& complaint, Probing probing, std::uint64_t seed);

} // namespace lostvolts::testing

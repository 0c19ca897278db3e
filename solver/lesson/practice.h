// A hidden fault to find with the fewest minutes. The machine is the drawing with its healthy parts strayed
// within their tolerances and one fault in it, drawn by the odds among the faults that somebody would notice
// and that the program itself can find. A student asks for readings, each of which costs the minutes that it
// takes, and names the part; the score holds that against the program's own advice, followed on the same
// machine with the same meters.
//
// Everything is decided by the circuit and the seed. A reading asked for twice shows the same twice: what a
// meter is off by is its own, not a new chance.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "solver/locate/effort.h"
#include "solver/locate/locate.h"
#include "solver/network/predict.h"

namespace lostvolts {

/// A reading that was taken in the game.
struct Taken {
    Prospect asked;
    double value = 0;   ///< as the meter shows it, SI; of a lamp or a sound the word, as in Reading
    bool open = false;  ///< an ohmmeter that showed no path
    double minutes = 0; ///< that it took
    bool again = false; ///< it had been taken before, and can tell nothing new
    /// What it told about which suspect is right: the divergence of what the program would believe after it
    /// from what it would have believed before, bits (S. Kullback, R. A. Leibler, Ann. Math. Statist. 22,
    /// 1951).
    double bits = 0;
    double truth_before = 0, truth_after = 0; ///< probability of the hidden fault's part
};

/// One way through the game: a student's, or the program's own.
struct Play {
    Readings job; ///< the readings taken, as locate takes them
    std::vector<Taken> taken;
    double minutes = 0;
    Location belief; ///< what locate makes of them
};

/// What a driver says who knows the machine: in which state, which load, what it does.
struct Complaint {
    int state = 0;
    PartId load = none; ///< or a fuse that opens
    std::string words;
};

struct Game {
    std::shared_ptr<const Circuit> circuit;
    Network network;
    std::uint64_t seed = 1;
    Fault hidden;
    std::vector<Complaint> complaints; ///< a few at the most
    Play student, own;                 ///< the program's own is played out from the start
    PartId own_part = none;            ///< that it names: the right one
};

/// Errors: a state of the healthy circuit has no working point; no fault of this circuit would be noticed and
/// could be found.
Result<Game> start_game(const Circuit& circuit, std::uint64_t seed);

/// Takes a reading. Errors: the part is out of the circuit in that state, or does not turn; both leads on one
/// point.
Result<Taken> ask(Game& game, const Prospect& prospect);

struct Named {
    PartId part = none;            ///< none: the student gave up
    std::optional<FaultKind> kind; ///< when it was said
};

struct Score {
    Named named;
    bool right_part = false;
    bool right_kind = true; ///< also when none was said
    double found = 0;       ///< 1 for the part, ½ when a kind was said that is wrong, 0 for another part
    double economy = 0;     ///< the program's minutes over the student's, at most 1
    double marks = 0;       ///< found times economy
    double sure = 0;        ///< what the student's readings make of the part named, as a probability
};
Score score(const Game& game, const Named& named);

} // namespace lostvolts

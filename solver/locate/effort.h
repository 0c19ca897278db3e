// What it takes to get a reading, in minutes: getting at the points, switching to the state, reading the
// meter.
//
// A point that a lead has been on is open from then on and costs nothing more in the same job; two hidden
// points cost both. The minutes of a point are the circuit file's own (`access`); all other times here are
// common practice, no source.
#pragma once

#include <vector>

#include "solver/locate/readings.h"

namespace lostvolts {

/// A reading that could be taken.
struct Prospect {
    int state = 0;
    Measurand quantity = Measurand::voltage;
    PointId red = none, black = none;
    PartId through = none;
    int meter = none; ///< lamp, resistance: index into Readings::meters; none: the usual one
};

/// How far the job has come: what has been opened and how the circuit stands switched.
struct Standing {
    int state = none;          ///< none: nothing has been read yet, no jumper in, no part out
    std::vector<char> points;  ///< per point: a lead has been there
    std::vector<char> clamped; ///< per part: a clamp has been round it
    std::vector<char> timed;   ///< per part: its speed has been read
    bool dead = false;         ///< an ohmmeter was used last: every source is off
};

Standing standing_of(const Readings& job);

/// Minutes to put a lead on a point.
double minutes_to_reach(const Circuit& circuit, const Standing& at, PointId point);
/// Minutes to switch from where the circuit stands to a state: switches thrown, jumpers and parts put in or
/// out (with the getting at them), rotors held.
double minutes_to_switch(const Circuit& circuit, const Standing& at, int state);
/// The sources of a state that must come off before an ohmmeter may be used.
std::vector<PartId> sources_in(const Circuit& circuit, int state);
/// All of it, and reading the meter.
double minutes_to_take(const Circuit& circuit, const Standing& at, const Prospect& prospect);

/// Where the job stands after it.
void take(Standing& at, const Prospect& prospect);

} // namespace lostvolts

// What a student asks for, in the words of the trade, one line at a time:
//
//     volts fuse out to pump + in run        the red lead first; one point alone is read against ground
//     volts across pump ground               over a part
//     amps pump in stall
//     speed rinse pump
//     lamp pump + to pump -                  a test lamp, and "ohms" with every source off, as volts
//     listen to rinse pump                   does it run; of a relay, does it click
//     part pump ground                       names it, and ends the game; "high resistance" may follow
//     points   states   parts   log   complaint   help   quit
//
// Forgiving: upper and lower case, quotes, commas and spare blanks don't matter; a name may be shortened as
// long as only one fits; without a state, the last one stays.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "solver/lesson/practice.h"

namespace lostvolts {

enum class Wish { nothing, help, points, states, parts, log, complaint, quit };

using Request = std::variant<Wish, Prospect, Named>;

/// `state` is the one that the last reading was taken in. Errors: a word, point, part or state that is not
/// there (the nearest is named) or could be several (they are listed).
Result<Request> read_request(const Circuit& circuit, int state, std::string_view line);

/// Where a reading of this quantity is taken, in the same words after its first: "battery + to relay 87 in
/// run", "rinse pump in stall". Errors: as above.
Result<Prospect> read_place(const Circuit& circuit, int state, Measurand quantity, std::string_view words);

/// Words that read_place() reads as this place and state, whatever the state before; nothing where the names
/// are such that none are.
std::optional<std::string> place_words(const Circuit& circuit, const Prospect& place);

/// The state to begin with: the first in which the machine is simply used and a load runs, else the first.
int first_state(const Circuit& circuit);

} // namespace lostvolts

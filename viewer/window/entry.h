// The sentence a reading is typed into: "in run, red on battery +, black on pump +, the meter shows 1.84 V".
// What was typed is completed to the circuit's own names, the quantity told by the value's unit, and what is
// wrong said beside its field.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "viewer/window/session.h"

namespace lostvolts {

struct TypedReading {
    int state = 0;
    Measurand quantity = Measurand::voltage;
    std::string red, black, through;
    std::string value;
    std::string meter; ///< empty: the usual one
    std::string note;
};

struct UnderstoodReading {
    WrittenReading reading;
    FieldProblems problems; ///< empty: it may be added
};

/// Names completed and looked up, the value read.
UnderstoodReading understand(const Readings& job, const TypedReading& typed);

/// The one name that typed letters can mean: the same but for case and spaces, else the only one that begins
/// so, else the only one that has them inside.
std::optional<std::string> completed(std::string_view typed, const std::vector<std::string>& names);
/// The names that typed letters may mean, those that begin so first.
std::vector<std::string> candidates(std::string_view typed, const std::vector<std::string>& names,
                                    std::size_t most);

/// What a person reads, quantity by quantity: "volts", "a test lamp".
const std::vector<std::string>& quantity_words();

/// The next reading that the solver proposes, as typed but for its value.
TypedReading typed(const Readings& job, const NextReading& next);

} // namespace lostvolts

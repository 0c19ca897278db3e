// Whether two circuit files are drawings of the same circuit, for baselines; and the words in a circuit that
// a search should find.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace lostvolts {

/// What a circuit file says of its circuit, apart from how it is written.
struct Drawing {
    std::string name;
    /// A digest of the ground point and of every part with all its keys as written. Order, spacing, comments,
    /// the circuit's name, its surroundings' temperature, access, states, conditions and limits don't matter.
    std::string digest;
    std::vector<std::string> parts;  ///< their names
    std::vector<std::string> motors; ///< names of those that are motors
    bool readable = true;            ///< false: not TOML, or without parts
};

/// Of the parts only that they are there is checked.
Drawing drawing_of(std::string_view circuit_text);

} // namespace lostvolts

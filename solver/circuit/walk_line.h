// One line of a walk along the wires: a kind of part, its name, its values in any order, and what stands at
// its far end. Inside this room only.
//   motor tarp winch 12 V 22 A 90 A 2800 rpm to winch minus, 15 min, behind the tail board
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "solver/circuit/edit.h"
#include "solver/units/result.h"

namespace lostvolts {

struct WalkLine {
    enum class Says {
        part,
        name, ///< the circuit's, in `name`
        from, ///< the walk goes on at the point `name`
    };
    Says says = Says::part;
    int number = 0; ///< of the line, from 1
    Place place;    ///< of what the line names
    std::string kind, name;
    std::vector<Field> values; ///< keys of the part's table, each with the text that was written
    std::string point;         ///< at its far end; empty: not told
    std::string access, note;  ///< of that point

    const std::string* value(std::string_view key) const;
};

/// Nothing when the line is empty, a comment, or wrong: then problems has why.
std::optional<WalkLine> read_walk_line(std::string_view line, int number, const std::string& file,
                                       Problems& problems);

} // namespace lostvolts

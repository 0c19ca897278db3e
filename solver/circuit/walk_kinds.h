// What a line of a walk may say of each kind of part: which values, and for which keys of the part's table
// they stand. A value's unit tells what it is, so they come in any order. Inside this room only.
#pragma once

#include <optional>
#include <span>
#include <string_view>
#include <vector>

namespace lostvolts {

/// A value's size in SI units, where the text is a value of that sort.
using SizeOf = std::optional<double> (*)(std::string_view);

/// A key, and the sort of value that it takes. Of several values of one sort the least goes to the first key.
struct Slot {
    std::string_view key;
    SizeOf size;
};

struct WalkedKind {
    std::string_view kind;
    std::vector<Slot> slots;
    std::string_view example; ///< a whole line
};

/// Null where no part is called that.
const WalkedKind* find_walked_kind(std::string_view kind);
/// What other people call a part: "earth" is a ground. Null where it is not known.
const WalkedKind* kind_meant(std::string_view word);

/// Every sort of value that people write, whether or not some part takes it.
std::span<const SizeOf> all_sorts();
bool is_length(SizeOf sort);
bool is_time(std::string_view text);

} // namespace lostvolts

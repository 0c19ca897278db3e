// What can go wrong with a part, and how often. Odds are relative: a ground at 10 fails ten times as often as
// a part at 1. All odds are common practice, no source: the trade's order of suspicion (joints open to water
// first, moving contacts next, wire last).
#pragma once

#include <optional>
#include <span>
#include <string_view>

namespace lostvolts {

enum class FaultKind {
    high_resistance,
    open,
    short_to_ground,
    worn_brushes,
    dragging,
    seized,
    running_light,
    weak_field,
    shorted_winding,
    low_charge,
    weak_battery,
    open_coil,
    stuck_closed,
};

/// As files and JSON write it: "high resistance".
std::string_view name_of(FaultKind kind);
std::optional<FaultKind> fault_kind(std::string_view name);
std::span<const std::string_view> fault_names();

/// How a fault's size is told.
enum class FaultSize {
    none, ///< it is there or it is not
    ohms,
    share, ///< a ratio; what of is in the kind's meaning
};
FaultSize size_of(FaultKind kind);

/// One way for one kind of part to fail.
struct FaultMode {
    FaultKind kind;
    double odds;
    /// Range of the size: ohms for FaultSize::ohms as multiples of the part's own scale (see below), shares
    /// as they are.
    double low = 0;
    double high = 0;
};

// A resistance's fault size runs from the trade's limit (0.1 V at the current that the part carries when
// healthy) to a resistance that leaves the load next to nothing; network/severity.h turns that into ohms for
// each part.

} // namespace lostvolts

#include "solver/parts/fault.h"

#include <array>

namespace lostvolts {
namespace {

constexpr std::array<std::string_view, 13> names = {
    "high resistance", "open",          "short to ground", "worn brushes",    "dragging",
    "seized",          "running light", "weak field",      "shorted winding", "low charge",
    "weak battery",    "open coil",     "stuck closed"};

} // namespace

std::string_view name_of(FaultKind kind) { return names[static_cast<std::size_t>(kind)]; }

std::optional<FaultKind> fault_kind(std::string_view name) {
    for (std::size_t k = 0; k < names.size(); ++k)
        if (names[k] == name) return static_cast<FaultKind>(k);
    return std::nullopt;
}

std::span<const std::string_view> fault_names() { return names; }

FaultSize size_of(FaultKind kind) {
    switch (kind) {
    case FaultKind::high_resistance:
    case FaultKind::short_to_ground:
    case FaultKind::worn_brushes:
    case FaultKind::weak_battery:
        return FaultSize::ohms;
    case FaultKind::dragging:
    case FaultKind::running_light:
    case FaultKind::weak_field:
    case FaultKind::shorted_winding:
    case FaultKind::low_charge:
        return FaultSize::share;
    case FaultKind::open:
    case FaultKind::seized:
    case FaultKind::open_coil:
    case FaultKind::stuck_closed:
        return FaultSize::none;
    }
    return FaultSize::none;
}

} // namespace lostvolts

// Every kind of part. To add one: write its file, include it, add it to `AnyPart` and to `part_kinds()` in
// all.cpp; the compiler names whatever it still lacks.
#pragma once

#include <variant>

#include "solver/parts/battery.h"
#include "solver/parts/breaker.h"
#include "solver/parts/capacitor.h"
#include "solver/parts/charger.h"
#include "solver/parts/connector.h"
#include "solver/parts/diode.h"
#include "solver/parts/electronic.h"
#include "solver/parts/fuse.h"
#include "solver/parts/ground.h"
#include "solver/parts/heater.h"
#include "solver/parts/lamp.h"
#include "solver/parts/motor.h"
#include "solver/parts/relay.h"
#include "solver/parts/resistor.h"
#include "solver/parts/solenoid.h"
#include "solver/parts/splice.h"
#include "solver/parts/switch.h"
#include "solver/parts/wire.h"

namespace lostvolts {

using AnyPart = std::variant<Battery<>, Breaker<>, Capacitor<>, Charger<>, Connector<>, Diode<>, Electronic<>,
                             Fuse<>, Ground<>, Heater<>, Lamp<>, Motor<>, Relay<>, Resistor<>, Solenoid<>,
                             Splice<>, Switch<>, Wire<>>;

/// The words a file may write after `kind =`.
std::vector<std::string> part_kinds();
std::string_view kind_of(const AnyPart& part);

/// Whether the part, or the part that a file's word stands for, is of one of these kinds.
template <class... Kinds> bool is_any(const AnyPart& part) {
    return (std::holds_alternative<Kinds>(part) || ...);
}
template <class... Kinds> bool is_any(std::string_view kind) { return ((kind == Kinds::kind) || ...); }
template <class PartOrKind> bool is_source(const PartOrKind& it) { return is_any<Battery<>, Charger<>>(it); }
/// A part that is there to take power; a plain resistor may be anything, and is not one.
template <class PartOrKind> bool is_load(const PartOrKind& it) {
    return is_any<Motor<>, Lamp<>, Heater<>, Electronic<>, Solenoid<>>(it);
}

/// Reads the keys of its kind; problems are left in the entry. nullopt when the kind is unknown.
std::optional<AnyPart> read_part(Entry& entry);

std::span<const FaultMode> faults_of(const AnyPart& part);
/// Puts a fault in. Opening the part or shorting it to ground is the network's doing: nothing happens here.
void apply_fault(AnyPart& part, FaultKind kind, double size);

/// The numbers of the part's equation in order, SI units, and for each the standard deviation of a healthy
/// part's: tolerance/2 (the tolerance is the half-width of 95 %). `told` replaces the tolerance of the main
/// ones.
struct PartNumbers {
    std::vector<std::string_view> names;
    std::vector<double> values;
    std::vector<double> deviations;
};
PartNumbers numbers_of(const AnyPart& part, std::optional<double> told = std::nullopt);

} // namespace lostvolts

// Voltage drops that the trade puts up with.
#include "solver/reference/tables.h"

namespace lostvolts {
namespace {

// For 12 V circuits under load. Connection, ground and wire: technicians' guidance [VD3], read, and cable and
// switch contact: a workshop manual's note [VD1], read; whole circuit: common training text, from memory.
// None has a standard's number.
constexpr double connection_volts = 0.1;
constexpr double wire_volts = 0.2;
constexpr double contact_volts = 0.3;
constexpr double ground_volts = 0.1;
constexpr double whole_loop_volts = 0.5;

// Fuse: no source. Ours, above what a sound blade fuse of 5 A or more drops at its full rating (128 mV,
// fuses.cpp).
constexpr double fuse_volts = 0.15;

constexpr Voltage<> volts(double value) { return from_si<Voltage<>>(value); }

} // namespace

DropLimits usual_drop_limits() {
    return {.connection = volts(connection_volts),
            .wire = volts(wire_volts),
            .contact = volts(contact_volts),
            .ground_path = volts(ground_volts),
            .fuse = volts(fuse_volts),
            .whole_loop = volts(whole_loop_volts),
            .source = "common practice, no standard"};
}

} // namespace lostvolts

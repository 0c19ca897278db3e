// What the present sizes and fuses ask of every wire and fuse: currents in run, at a start, with a rotor held
// and on a far-end short; and so which sizes each wire may have. Inside this room only; SI doubles.
#pragma once

#include "solver/sizing/model.h"

namespace lostvolts {

struct RunDemand {
    double amps;
    int state; ///< index into SizingModel::states
};
struct StallDemand {
    double amps, run_amps, seconds;
};
struct ShortDemand {
    int fuse; ///< index into SizingModel::fuses
    double fuse_amps, wire_amps;
    double loop_ohms; ///< of the shorted loop, so that another size's current can be told
    double ohms;      ///< of the wire as it was in that loop
    int state, path;
};
struct WireDemand {
    std::vector<RunDemand> run;
    std::vector<StallDemand> stall;
    std::vector<ShortDemand> shorts;
    int only_fuse = none;     ///< the fuse all its current passes, index into SizingModel::fuses
    double guard_amps = 0;    ///< greatest rating among the fuses and breakers that limit what it carries
    bool unprotected = false; ///< carries a load's feed with no fuse before it
};
struct FuseDemand {
    double load = 0, stall = 0;
    StartCurrent start;    ///< the hardest
    double short_amps = 0; ///< least; 0: none
    PartId short_load = none;
};
struct Demands {
    std::vector<WireDemand> wires; ///< per model wire
    std::vector<FuseDemand> fuses; ///< per model fuse
};

Demands find_demands(SizingModel& model);

/// Why a size won't do; nothing when it does.
std::optional<Binding> refused(const SizingModel& model, const WireDemand& demand, const SizeChoice& choice);

/// Hottest steady temperature, °C, and hottest after a stall.
double run_celsius(const WireDemand& demand, const SizeChoice& choice);
double stall_celsius(const WireDemand& demand, const SizeChoice& choice);

/// The smallest rating that carries the load and survives the start; nothing when none is sold. A fuse that
/// stays has its own.
std::optional<double> choose_rating(const SizingModel& model, const FuseDemand& demand);

} // namespace lostvolts

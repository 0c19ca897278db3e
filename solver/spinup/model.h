// A circuit in one state, made ready to run in time: its laws and contacts as ports, everything straight
// reduced to what lies between them, and how each probe reads it.
#pragma once

#include <utility>

#include "solver/spinup/reduction.h"
#include "solver/spinup/spinup.h"
#include "solver/spinup/stepper.h"

namespace lostvolts {

/// A port that opens and closes.
struct Mover {
    PartId part = none;
    int port = 0;
    bool by_state = false; ///< the state closes it; else its coil does
    int coil_port = none;
    double pull_in_amps = 0, drop_out_amps = 0;
    bool pulled = false;
};

/// How something is read from a moment: constant + Σ weight·volts, or an own unknown, or a law's current.
struct Reader {
    double constant = 0;
    std::vector<std::pair<int, double>> weights;
    int own = none;
    int port = none;
};

/// A part that only conducts, i = siemens·v + amps.
struct Straight {
    PartId part = none;
    double siemens = 0, amps = 0;
    Reader volts;
};

struct Model {
    System system;
    Moment start;
    std::vector<int> port_of_part; ///< or none; a jumper across a part is only in `movers`
    std::vector<PartId> part_of_port;
    std::vector<Mover> movers;
    std::vector<Straight> straights;
    std::vector<Weighted> node_volts;
    double source_volts = 0;  ///< all in series
    bool from_dead = false;   ///< the sources come on
    std::vector<double> size; ///< per own unknown, what its error is a share of
};

Result<Model> build_model(const Network& network, const SpinUpRequest& request, Workspace& work);

Reader reader_of(const Network& network, const Model& model, const Probe& probe);
Reader across_part(const Network& network, const Model& model, PartId part);

} // namespace lostvolts

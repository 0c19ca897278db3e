// The circuit as sizing works on it: wires with their possible sizes, states with their working points, and
// the way from the source to each load and back. Inside this room only; SI doubles.
#pragma once

#include <span>

#include "solver/sizing/sizing.h"

namespace lostvolts {

struct SizeChoice {
    WireSize size;
    WireHeat heat;
    double ohms_20 = 0; ///< whole length
    double copper_kg = 0;
};

/// A wire with a size: one whose size may change, or one that stays (then with one choice).
struct ModelWire {
    PartId part = none;
    bool chosen = false;
    double metres = 0;
    std::vector<SizeChoice> choices; ///< thinnest first
};

/// The way from the upper post through a load to the lower one: all parts that lie in series with it.
struct LoadPath {
    PartId load = none;
    bool coil = false; ///< the load is a relay's coil
    struct Step {
        PartId part;
        double sign; ///< +1: walked from `from` to `to`
        bool feed;   ///< before the load
    };
    std::vector<Step> steps;
    std::vector<PartId>
        guards; ///< per step: the fuse or breaker nearest before it, else the first after it, or none
    std::vector<char> bare; ///< per step: it feeds, and none stands before it
};

struct ModelState {
    int state = 0;
    Setup setup;
    Operating at;
    std::vector<LoadPath> paths;      ///< of loads and coils that carry current
    std::vector<PartId> running;      ///< motors that turn here
    std::vector<double> wire_celsius; ///< per model wire
};

struct SizingModel {
    const Network& network;
    const Circuit& circuit;
    const SizingRequest& request;
    std::vector<ModelWire> wires;
    std::vector<int> wire_of_part; ///< per part, or none
    std::vector<PartId> fuses;     ///< with a rating
    std::vector<double> ratings;   ///< per fuse, amperes as chosen so far
    std::vector<ModelState> states;
    Workspace work;

    int fuse_index(PartId part) const;
};

SizingModel make_model(const Network& network, const SizingRequest& request);
/// Takes a wire out of what is chosen.
void keep_as_drawn(SizingModel& model, std::size_t wire);

/// Puts a choice of sizes into a state and finds its working point, wires as warm as their current makes
/// them.
std::optional<Problem> solve_state(SizingModel& model, ModelState& state, std::span<const int> option);
/// Volts lost between the posts and the load of a path.
double lost_on(const SizingModel& model, const ModelState& state, const LoadPath& path);
/// Finds the ways of the state's working point.
void find_paths(SizingModel& model, ModelState& state);

/// A fuse of another rating; a resistance told in the file stays.
Fuse<> with_rating(const Fuse<>& drawn, Current<> rating);
void set_fuse(const SizingModel& model, Setup& setup, PartId part, double rating);

/// Amperes per part with these motors held, from the working point's own setup; the hot wires as they are.
std::optional<std::vector<double>> held_amps(SizingModel& model, const ModelState& state,
                                             std::span<const PartId> motors);
/// Amperes per part with the load shorted and the source at its weakest.
std::optional<std::vector<double>> shorted_amps(SizingModel& model, const ModelState& state,
                                                const LoadPath& path);

} // namespace lostvolts

// The few branches at which a state departs from its sound straight lines: the bent parts and the faulty
// ones. Inside this room only; sound_state.h has the mathematics.
#pragma once

#include <array>

#include "solver/network/sound_state.h"

namespace lostvolts {

/// A branch whose current departs from its sound straight line.
struct FaultPort {
    std::int32_t edge = none;
    PartId part = none;           ///< whose numbers stray here; none: a short, a coil
    const AnyPart* law = nullptr; ///< nullptr: `line` holds for every v
    bool faulty = false;
    double volts = 0, amps = 0, siemens = 0; ///< sound
    Line line;
    double line_volts = 0;
    std::array<double, most_own> own{};

    double told(double v) const { return line.amps + line.siemens * (v - line_volts); }
    bool gone() const { return faulty && !law && line.siemens == 0 && line.amps == 0; }
};

/// A small dense system with several right-hand sides, by elimination with row pivots. False when all but
/// singular: the branches that go were the last to hold a part of the circuit.
bool solve_dense(std::size_t n, std::vector<double>& matrix, std::size_t columns, std::vector<double>& right);

/// Volts across an edge.
double across(const Network& n, const std::vector<double>& nodes, std::int32_t edge);

/// One question: these faults in this state.
class PortQuestion {
  public:
    PortQuestion(const Network& n, const StrayingNumbers& strays, SoundState& s)
        : n_(n), strays_(strays), s_(s) {}

    bool pose(std::span<const Fault> faults);
    bool settle();
    bool tell(std::vector<double>& values, std::vector<double>& moved);
    bool bound(std::vector<double>& values, std::vector<double>& most);

  private:
    std::size_t size() const { return ports_.size(); }
    double& z(std::size_t i, std::size_t k) { return z_[i * size() + k]; }
    FaultPort& port_at(std::int32_t edge, PartId part);
    bool add(const Fault& fault);
    bool splits_off(const FaultPort& port);
    bool newton();
    bool at_rest();
    bool rests(const Motor<>& motor, double amps) const;
    bool relays_stay() const;
    bool held_by_fault(PartId relay) const { return relays_held_[0] == relay || relays_held_[1] == relay; }
    double slope_of(const FaultPort& port) const;
    double speed_slope(std::size_t port, PartId part) const;
    const AnyPart& law_of(PartId part) const;
    std::size_t port_of(PartId part) const;
    bool answer(std::vector<double>& values);
    double between(const Probe& probe, const std::vector<double>& nodes) const;
    void take_weights(std::size_t r);
    void note_numbers();
    void take_rows(std::size_t r, double* moved) const;
    template <class Put> void take_numbers(std::size_t r, Put put) const;

    const Network& n_;
    const StrayingNumbers& strays_;
    SoundState& s_;
    std::vector<FaultPort> ports_;
    std::array<AnyPart, 2> laws_;
    std::array<PartId, 2> faulty_{none, none},
        relays_held_{none, none}; // by the fault, whatever its coil does
    std::vector<EdgeColumn*>& columns_ = s_.scratch.columns;
    // Per port: across it, and how far its current is off its sound line.
    std::vector<double>&z_ = s_.scratch.z, &volts_ = s_.scratch.volts, &u_ = s_.scratch.u;
    std::vector<double>&m_ = s_.scratch.matrix, &b_ = s_.scratch.right;
    double rounding_amps_ = 0;                    // how closely newton() has settled the currents
    std::vector<double>& here_ = s_.scratch.here; // per row: what a deviation moves its branch's current by
};

} // namespace lostvolts

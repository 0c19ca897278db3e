// One step of the circuit's equations in time: the laws that bend, store or move, joined by what conducts
// between them. Each law's own unknowns are eliminated where they stand, so that the only system is the nodal
// one. No circuit, no event and no unit here.
#pragma once

#include <vector>

#include "solver/network/elimination.h"
#include "solver/spinup/rosenbrock.h"
#include "solver/spinup/time_law.h"

namespace lostvolts {

/// A law between two nodes; its own unknowns stand at `first` in the run's vector.
struct Port {
    TimeLaw law;
    std::int32_t a = ground_node;
    std::int32_t b = ground_node;
    int first = 0;
    int count = 0;
    double emf_rate = 0; ///< of a Supply, V/s
    /// Straight between bends: a step goes on along the stretch it began on, so that no stage of it looks
    /// round the corner where the law may be a million times stiffer. Steps end at bends.
    bool straight = false;
};

struct System {
    int nodes = 0;
    int owns = 0;
    std::vector<Port> ports;
    EliminationPlan plan;             ///< one edge per port, then what conducts
    std::vector<double> base_siemens; ///< per edge; 0 at the ports
    std::vector<double> base_amps;    ///< into each node
    std::vector<double> scale;        ///< per own unknown: its error is judged against this
};

struct Moment {
    std::vector<double> volts; ///< per node
    std::vector<double> own;
};

struct Stepper {
    explicit Stepper(System& system);

    /// Volts and own unknowns without a store, those with one held: after a contact has moved. False: none
    /// were found.
    bool settle(Moment& at);
    /// Slopes at the beginning of a step.
    void begin(const Moment& at);
    /// From there by h: the error over the scales. The answer is in `end`.
    double attempt(const Moment& at, double h);
    /// After an attempt, at share s of the step.
    void prepare_dense(const Moment& at);
    double dense(double from, double to, double d0, double d1, double s) const {
        return (1 - s) * from + s * (to + (1 - s) * (d0 + s * d1));
    }
    double volts_at(const Moment& at, int node, double s) const {
        const auto n = static_cast<std::size_t>(node);
        return node < 0 ? 0 : dense(at.volts[n], end.volts[n], dense_volts[0][n], dense_volts[1][n], s);
    }
    double own_at(const Moment& at, int unknown, double s) const {
        const auto k = static_cast<std::size_t>(unknown);
        return dense(at.own[k], end.own[k], dense_own[0][k], dense_own[1][k], s);
    }

    struct Condensed {
        double siemens = 0;
        InTime through{};                           ///< i_x·A⁻¹
        std::array<InTime, most_in_time> inverse{}; ///< A⁻¹, A = stores/(γh) − row_x
    };
    System& system;
    Moment end;
    std::vector<TimeSlopes> slopes; ///< per port, at the beginning of the step
    std::vector<Condensed> condensed;
    Factor factor;
    std::vector<double> siemens, amps, stage_volts, stage_own;
    std::array<std::vector<double>, rosenbrock::stages> u_volts, u_own;
    std::array<std::vector<double>, 2> dense_volts, dense_own;
};

} // namespace lostvolts

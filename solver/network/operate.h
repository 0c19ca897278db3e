// The working point of a network: volts at every point, amperes in every part, the motors' speeds, and which
// relays hold.
#pragma once

#include <optional>

#include "solver/network/kernel.h"
#include "solver/network/network.h"

namespace lostvolts {

struct Operating {
    std::vector<double> node_volts;                ///< per node; ground reads 0
    std::vector<double> branch_amps;               ///< per branch, entering at a; a bridged part's own
    std::vector<std::array<double, most_own>> own; ///< per part
    std::vector<double>
        edge_siemens; ///< slopes at the working point, per edge; of a motor at rest its winding's
    std::vector<char> relay_closed;   ///< per part
    int iterations = 0;               ///< Newton steps, all relay positions together
    double largest_leftover_amps = 0; ///< Kirchhoff's current law, worst node
    double largest_branch_amps = 0;
    PointId worst_point = none;

    /// Volts across a branch, positive when its first end is the higher.
    double across(const Branch& b) const {
        const double va = b.a == ground_node ? 0 : node_volts[static_cast<std::size_t>(b.a)];
        const double vb = b.b == ground_node ? 0 : node_volts[static_cast<std::size_t>(b.b)];
        return va - vb;
    }

    double volts(const Network& n, PointId p) const {
        const auto node = n.node_of_point[static_cast<std::size_t>(p)];
        return node == ground_node ? 0.0 : node_volts[static_cast<std::size_t>(node)];
    }
};

/// Scratch that a run of solves shares; one per thread.
struct Workspace {
    Factor factor;
    std::vector<Line> lines;                          ///< per part
    std::vector<double> line_volts;                   ///< per part: where its line was taken
    std::vector<std::array<double, most_own>> stores; ///< per part: what it stored a step ago
    std::vector<double> base_siemens, base_amps, siemens, amps, last_volts;
    std::vector<int> curved; ///< parts whose line moves with v
};

/// Finds the working point: exact Newton on the nodal equations; when that does not settle, the circuit is
/// let start up in time (implicit Euler, growing steps); when that fails too, the sources are raised from
/// nothing. Relays are decided with it: all open at first, closed at pull-in, opened below drop-out, until
/// none moves. Gives a Problem, in words of the circuit, when relays chatter or no working point is found;
/// else nothing.
std::optional<Problem> operate(const Network& network, Setup& setup, Workspace& work, Operating& out);

/// The factor of the working point's own slopes, for sensitivities.
void refactor_at(const Network& network, const Operating& at, Workspace& work);

} // namespace lostvolts

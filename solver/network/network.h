// The network of a circuit: what is worked out once from its drawing, and used by every state, fault and
// step.
#pragma once

#include <memory>
#include <vector>

#include "solver/circuit/circuit.h"
#include "solver/network/elimination.h"

namespace lostvolts {

/// A two-ended path of current. Branch p < parts is part p's own; relay coils follow.
struct Branch {
    PartId part = none;
    bool coil = false;
    std::int32_t a = ground_node; ///< node where positive current enters the part
    std::int32_t b = ground_node;
};

struct Network {
    std::shared_ptr<const Circuit> circuit;
    std::vector<std::int32_t> node_of_point; ///< ground_node for the ground point
    int nodes = 0;
    std::vector<Branch> branches;
    std::vector<int> coil_branch; ///< per part, or none
    std::vector<int> shunt_edge;  ///< per part: edge to ground for a short from it, or none
    std::vector<Edge> edges;      ///< one per branch, then the shunts
    EliminationPlan plan;
    std::vector<int>
        first_number; ///< per part: where its numbers stand in a slope vector; then one past the last
    int numbers = 0;  ///< all parts' numbers, and last the jumper's resistance
};

/// The circuit must have passed read_circuit(). Cost grows linearly with the parts.
Network analyse(std::shared_ptr<const Circuit> circuit);

/// What stands between a part's two points in a state.
enum class Link : char {
    part,   ///< the part
    out,    ///< nothing: it was taken out or is open
    jumper, ///< a fused jumper in a relay's place
};

/// A network in one state, with faults in it: the numbers that one solve needs.
struct Setup {
    int state = 0;
    std::vector<AnyPart> parts;
    std::vector<Link> link;            ///< per part
    std::vector<char> bridged;         ///< per part: a jumper lies across it
    std::vector<char> held;            ///< per part: a relay whose contact the state or a fault decides
    std::vector<double> shunt_siemens; ///< per part: its short to ground
    double jumper = jumper_ohms;
};

Setup set_up(const Network& network, int state, const std::vector<Fault>& faults = {});
/// Puts one more fault into a setup.
void add_fault(const Network& network, Setup& setup, const Fault& fault);

} // namespace lostvolts

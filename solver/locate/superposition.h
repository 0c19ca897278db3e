// What two faults read together, estimated from what each reads alone (see pairs.h for the mathematics).
// Inside this room only.
#pragma once

#include "solver/locate/evidence.h"

namespace lostvolts {

/// One single fault, at each size tried: what it changes, and what it leaves of the current at every place a
/// fault can be (of a short: of the volts).
struct Alone {
    FaultKind kind = FaultKind::open;
    std::size_t place = 0;                 ///< its own: an edge of the network
    bool scaled = true;                    ///< by what the other leaves there; a fallen emf is not
    std::vector<Eigen::VectorXd> change;   ///< per size; empty: no working point
    std::vector<Eigen::VectorXd> bend;     ///< per stretch between sizes: half way along
    std::vector<std::vector<double>> left; ///< per size: [state · places + place]
    int sizes() const { return static_cast<int>(change.size()); }
};

struct Superposition {
    Eigen::VectorXd sound; ///< the readings of the sound circuit
    std::vector<int> state_of_row;
    std::size_t states = 0, places = 0;
    std::vector<Alone> alone; ///< per single; the healthy one's is empty
};

Superposition superpose(Weighing& w, const std::vector<Evidence>& singles);

/// Weights of the two faults' changes in one state. False where the estimate says nothing.
struct Scales {
    double first = 1, second = 1;
    double moved = 0; ///< by what share either fault changes the current at the other's place, 1 at the most
};
bool scales_of(const Superposition& s, const Alone& a, int i, const Alone& b, int j, std::size_t state,
               Scales& scales);

} // namespace lostvolts

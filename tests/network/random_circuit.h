// Random circuits of the kind people build: sources, a branching feed of wires, joints, fuses, switches and
// relays, loads of every kind, a branching return, now and then a loop, and now and then a fault.
#pragma once

#include <random>
#include <vector>

#include "tests/network/builder.h"

namespace lostvolts::testing {

struct RandomCircuit {
    Circuit circuit;
    std::vector<Fault> faults;
};

/// `size` is about how many parts it has; the same generator state gives the same circuit.
RandomCircuit random_circuit(std::mt19937_64& random, int size, bool with_relays = true);

} // namespace lostvolts::testing

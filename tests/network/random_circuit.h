// Random circuits of the kind people build: sources, a branching feed of wires, joints, fuses, switches and
// relays, loads of every kind, a branching return, now and then a loop, and now and then a fault.
#pragma once

#include <vector>

#include "tests/network/builder.h"
#include "tests/network/random_draws.h"

namespace lostvolts::testing {

struct RandomCircuit {
    Circuit circuit;
    std::vector<Fault> faults;
};

/// `size` is about how many parts it has; the same generator state gives the same circuit.
RandomCircuit random_circuit(Random& random, int size, bool with_relays = true);

/// Loads of the kind that these circuits have, for a supply of so many volts.
Lamp<> random_lamp(Random& random, double volts);
Motor<> random_motor(Random& random, double volts);

} // namespace lostvolts::testing

// Prints the part of a circuit that loses the most volts in its first state, loads and sources aside.
#include <cmath>
#include <cstdio>
#include <memory>

#include "solver/circuit/read.h"
#include "solver/network/predict.h"

int main(int argc, char** argv) {
    using namespace lostvolts;
    const auto read = read_circuit(argc > 1 ? argv[1] : "circuit.toml");
    if (!read) {
        for (const Problem& problem : read.problems())
            std::fprintf(stderr, "%s\n", describe(problem).c_str());
        return 2;
    }
    const auto circuit = std::make_shared<const Circuit>(*read);
    const Network network = analyse(circuit);
    Workspace work;
    const auto state = predict_state(network, 0, {}, work);
    if (!state) return 3;
    const PartResult* worst = nullptr;
    for (const PartResult& part : state->parts)
        if (part.limit && (!worst || std::abs(si(part.drop)) > std::abs(si(worst->drop)))) worst = &part;
    if (!worst) return 3;
    std::printf("%s: %.3f V\n", part_name(*circuit, worst->part).c_str(), si(worst->drop));
}
